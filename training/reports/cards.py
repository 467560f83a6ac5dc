"""Where does a card's code lead, and what does somebody see who follows it?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

import segno
from django.core.signing import BadSignature, Signer
from django.urls import reverse
from django.utils.safestring import SafeString

from training.models import Card, User
from training.records.gathering import gather, rules_of_levels
from training.records.released import options_of
from training.reports.who_may import shop_levels
from training.standing.answer import answers
from training.standing.entitlement import asking_of

_SIGNER = Signer(salt="card")


@dataclass(frozen=True, slots=True)
class MayNow:
    """One level as a stranger with the card sees it: the standing, and on which options it is alone
    where not on all.
    """

    title: str
    standing: str
    only_on: str


def address_of(card: Card) -> str:
    """The path to which the card's code leads: the card's number, and a seal that only this site
    can put on it.
    """
    number = str(card.pk)
    return reverse("training:card-answer", args=[number, _SIGNER.signature(number)])


def card_at(number: int, seal: str) -> Card | None:
    """The card of such a path, withdrawn or not; None where the site did not seal it."""
    try:
        # Sealed, or counting numbers up would list everybody's standing to strangers.
        pk = _SIGNER.unsign(f"{number}{_SIGNER.sep}{seal}")
    except BadSignature:
        return None
    return Card.objects.select_related("person__workshop").filter(pk=pk).first()


def code_of(address: str, title: str) -> SafeString:
    """The address as a QR code (ISO/IEC 18004, by a library), as SVG with its title; a seventh of
    it may be dirty or worn.
    """
    code = segno.make(address, error="m", micro=False)
    # the library escapes the title
    return SafeString(
        code.svg_inline(
            title=title, svgclass="code", lineclass=None, omitsize=True, border=4, light="white"
        )
    )


def may_now(person: User, on: date, now: datetime) -> tuple[MayNow, ...]:
    """What this person may do at this moment, level by level, and nothing of the reasons."""
    shop, options = gather(), options_of(rules_of_levels())
    asking = asking_of(shop, now)

    def standing(level: str, variant: Mapping[str, str]) -> str:
        return answers(shop, level, on, now, variant, [person.login], asking)[0].standing

    def level_now(level: str, title: str) -> MayNow:
        on_all = standing(level, {})
        some = (
            []
            if on_all == "alone"
            else [
                f"{name} {option}"
                for name, found in options.get(level, ())
                for option in found
                if standing(level, {name: option}) == "alone"
            ]
        )
        return MayNow(title, on_all, ", ".join(some))

    return tuple(level_now(level, title) for level, title in shop_levels(shop, on))
