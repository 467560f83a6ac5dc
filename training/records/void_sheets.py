"""Which entries exactly does a void mean, and what is put before the two people who ask for it and
decide?

A void counts for every such entry of a person and day that was recorded until then. So whoever asks
and whoever decides is shown each of them by name, and signs for these and no other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime

from django.db.models import Exists, OuterRef
from django.utils.translation import gettext

from quizzes.models import Sitting
from training.models import Job, Observation, PaperPass, Reading, SignOff, User, Void, VoidAsked
from training.records.sheets import digest_of
from training.records.wording.signoffs import say_signed


@dataclass(frozen=True, slots=True)
class Meant:
    """One entry that a void means: its key (kind and row), what it is in words, and when it was
    recorded.
    """

    key: str
    said: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class VoidSheet:
    """What is shown; the digest is SHA-256 over all of it, in canonical JSON (RFC 8785)."""

    entries: tuple[Meant, ...]
    digest: str

    def keys(self) -> list[str]:
        """The keys of the entries, oldest first."""
        return [one.key for one in self.entries]


def void_sheet(
    *, kind: str, person: User, about: str, on: date, signer: User, asked: VoidAsked | None = None
) -> VoidSheet:
    """The sheet for a void that this signer asks for or, where it is asked for already, decides."""
    entries = entries_meant(kind, person, about, on)
    # Counted in: asked again after a no, the same list must not be the same sheet.
    before = VoidAsked.objects.filter(kind=kind, person=person, about=about, happened_on=on)
    digest = digest_of(
        kind=kind,
        person=person.login,
        about=about,
        on=on,
        # Keys and not words, which are in the language of whoever looks.
        entries=[one.key for one in entries],
        signer=signer.login,
        name=signer.name,
        asked=[asked.pk, asked.by.login, asked.reason] if asked else [before.count()],
    )
    return VoidSheet(entries, digest)


def entries_meant(kind: str, person: User, about: str, on: date) -> tuple[Meant, ...]:
    """The entries that a void of this kind, person, level or write-up, and day means, in the order
    of recording.
    """
    # An unknown kind comes from an address typed by hand, and means nothing.
    rows = _KINDS[kind](person, about, on) if kind in _KINDS else ()
    return tuple(sorted(rows, key=lambda one: (one.recorded_at, one.key)))


def find_void_sittings(quiz: str, person: int) -> frozenset[int]:
    """The keys of the sittings of a quiz by a person that were declared void; one query."""
    # As `Known` has it: of that day, and recorded until then.
    void = Void.objects.filter(
        kind="pass",
        person=person,
        about=quiz,
        happened_on=OuterRef("happened_on"),
        recorded_at__gte=OuterRef("recorded_at"),
    )
    rows = Sitting.objects.filter(Exists(void), quiz__name=quiz, person=person)
    return frozenset(rows.values_list("pk", flat=True))


def _signoffs(person: User, about: str, on: date) -> Iterator[Meant]:
    rows = SignOff.objects.filter(person=person, level__name=about, happened_on=on).select_related(
        "signer"
    )
    for row in rows:
        yield Meant(f"{row.KIND} {row.pk}", _say_signed(row), row.recorded_at)


def _say_signed(row: SignOff) -> str:
    # A first sign-off by the owner says so wherever it is shown.
    if row.founding:
        own = row.signer_id == row.person_id
        return say_signed(row.signer.name, founding=True, own=own)
    return gettext("sign-off by {name}").format(name=row.signer.name)


def _jobs(person: User, about: str, on: date) -> Iterator[Meant]:
    # One taken back never counted: there is nothing left to cancel.
    rows = Job.objects.filter(
        person=person, level__name=about, happened_on=on, taken_back__isnull=True
    ).select_related("watched_by")
    for row in rows:
        said = (
            gettext("job, supervised by {name}").format(name=row.watched_by.name)
            if row.watched_by
            else gettext("job, done alone")
        )
        yield Meant(
            f"{row.KIND} {row.pk}", f"{said}: {row.note}" if row.note else said, row.recorded_at
        )


def _observations(person: User, about: str, on: date) -> Iterator[Meant]:
    rows = Observation.objects.filter(
        person=person, level__name=about, happened_on=on
    ).select_related("observer")
    for row in rows:
        said = (
            gettext("observation by {name}, right")
            if row.right
            else gettext("observation by {name}, not right")
        )
        yield Meant(f"{row.KIND} {row.pk}", said.format(name=row.observer.name), row.recorded_at)


def _passes(person: User, about: str, on: date) -> Iterator[Meant]:
    # One kind for both: to the standing a pass on paper is a pass.
    for row in PaperPass.objects.filter(person=person, level__name=about, happened_on=on):
        yield Meant(
            f"{row.KIND} {row.pk}",
            gettext("quiz on paper, {percent} %").format(percent=int(row.percent)),
            row.recorded_at,
        )
    # By the quiz's name, which is the level's and stands in the record book.
    sat: Iterable[Sitting] = person.sittings.filter(
        quiz__name=about, happened_on=on, recorded_at__isnull=False
    )
    for sitting in sat:
        said = gettext("quiz, {percent} %").format(percent=int(sitting.percent or 0))
        yield Meant(
            f"sitting {sitting.pk}", said, sitting.recorded_at or datetime.max.replace(tzinfo=UTC)
        )


def _readings(person: User, about: str, on: date) -> Iterator[Meant]:
    rows = Reading.objects.filter(
        person=person, revision__writeup__name=about, happened_on=on
    ).select_related("revision")
    for row in rows:
        said = gettext("revision {number} read").format(number=row.revision.number)
        yield Meant(f"{row.KIND} {row.pk}", said, row.recorded_at)


_KINDS = {
    "signoff": _signoffs,
    "job": _jobs,
    "observation": _observations,
    "pass": _passes,
    "reading": _readings,
}
