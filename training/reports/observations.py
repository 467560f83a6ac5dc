"""What does the page of one observation say, and which observations are there of a person at a
level?
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils.translation import gettext, ngettext

from procedures.records import files
from procedures.records.statements import prepare_objects
from training.access import acts
from training.models import Level, Observation, ShownAgain, SignOff, User, Void
from training.records.seen_again import LineKept, lines_of, missed_lines
from training.records.wording.lines import say_observation


@dataclass(frozen=True, slots=True)
class SeenPage:
    """One observation as it was written down; `photos` are the numbers of the photos, with whether
    each is still whole.
    """

    row: Observation
    title: str
    lines: tuple[LineKept, ...]
    missed: tuple[LineKept, ...]
    tools: str
    photos: tuple[tuple[str, bool], ...]
    is_void: bool
    again: ShownAgain | None
    may_show_again: bool


@dataclass(frozen=True, slots=True)
class SeenShort:
    """One observation in a list."""

    pk: int
    on: date
    text: str


def seen_page(user: User, row: Observation) -> SeenPage:
    """The page of this observation for this reader."""
    again = getattr(row, "shown_again", None)
    may = not row.right and again is None and acts.SHOW_AGAIN.is_open_to(user, row.person)
    return SeenPage(
        row=row,
        title=str(row.level),
        lines=lines_of(row.lines),
        missed=missed_lines(row),
        tools=", ".join(row.tools),
        photos=tuple(
            (str(number), files.find_kept(digest) is not None)
            for number, digest in enumerate(row.photos, start=1)
        ),
        is_void=voids_of(row, Observation.KIND).exists(),
        again=again,
        may_show_again=may,
    )


def voids_of(row: Observation | SignOff, kind: str) -> QuerySet[Void]:
    """What declares this entry of a level void."""
    rows = Void.objects.filter(kind=kind, person=row.person, about=row.level.name)
    # Recorded at the void or before: an entry of the same day that came later stands.
    return rows.filter(happened_on=row.happened_on, recorded_at__gte=row.recorded_at)


def observations_in_short(person: User, level: Level, known_at: datetime) -> tuple[SeenShort, ...]:
    """The observations of a person at a level that were written down by then, the oldest first."""
    return tuple(
        SeenShort(row.pk, row.happened_on, _describe_observation(row))
        for row in _ask_observations(person.pk, level.pk, known_at)
    )


@prepare_objects
def _ask_observations(person: int, level: int, now: datetime) -> QuerySet[Observation]:
    rows = Observation.objects.filter(person=person, level=level, recorded_at__lte=now)
    return rows.select_related("observer", "shown_again").order_by("happened_on", "pk")


def _describe_observation(row: Observation) -> str:
    photos = len(row.photos)
    told = (
        say_observation(row.observer.name, {}, right=row.right),
        gettext("Shown again since.") if hasattr(row, "shown_again") else "",
        ngettext("{photos} photo.", "{photos} photos.", photos).format(photos=photos)
        if photos
        else "",
    )
    return " ".join(filter(None, told))
