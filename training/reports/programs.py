"""Which programs may ask this site?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext

from training.models.programs import SCOPES, ProgramToken


@dataclass(frozen=True, slots=True)
class ProgramShown:
    """One token as an owner sees it; `is_open` while it works on a day of the shop."""

    pk: int
    name: str
    does: tuple[str, ...]
    until: date
    made_by: str
    ended_at: datetime | None
    is_open: bool


def programs_by_end(on: date) -> tuple[ProgramShown, ...]:
    """Every token there ever was: those that work on the day first, then the newest; one query."""
    rows = ProgramToken.objects.select_related("made_by").order_by("-pk")
    shown = [_shown(row, on) for row in rows]
    return tuple(sorted(shown, key=lambda one: not one.is_open))


def _shown(row: ProgramToken, on: date) -> ProgramShown:
    return ProgramShown(
        pk=row.pk,
        name=row.name,
        does=tuple(gettext(SCOPES[scope]) for scope in row.scopes if scope in SCOPES),
        until=row.until,
        made_by=row.made_by.name if row.made_by else gettext("at the shop’s computer"),
        ended_at=row.ended_at,
        is_open=row.ended_at is None and row.until >= on,
    )
