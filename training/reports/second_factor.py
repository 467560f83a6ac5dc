"""Whom does the shop ask for a second factor, and who has one?"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q
from django_otp.plugins.otp_totp.models import TOTPDevice

from training.models import SecondFactorRule, User, roles


@dataclass(frozen=True, slots=True)
class FactorPage:
    """The rule in force, and everybody who signs off or owns, with whether they have one."""

    seniors: bool
    owners: bool
    people: tuple[tuple[User, bool], ...]


def people_with_factor() -> FactorPage:
    """Seniors and owners with an open account."""
    rule = SecondFactorRule.objects.order_by("-pk").first()
    has_it = Exists(TOTPDevice.objects.filter(user=OuterRef("pk"), confirmed=True))
    # Whose account is closed or who has left cannot sign anything.
    rows = User.objects.filter(
        Q(trade=roles.SENIOR) | Q(owner=True), is_active=True, left__isnull=True
    ).annotate(has_it=has_it)
    people = tuple((row, bool(row.has_it)) for row in rows.order_by("name"))
    return FactorPage(rule.seniors if rule else False, rule.owners if rule else False, people)
