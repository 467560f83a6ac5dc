"""What does the shop hold about one person, all of it, for that person to keep?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext

from quizzes.models import Sitting
from training.models import (
    Appointment,
    AppointmentEnd,
    Job,
    LevelRules,
    Observation,
    PaperPass,
    Reading,
    SignOff,
    StandDown,
    User,
    Void,
)
from training.records.benchwork import outside_said
from training.records.gathering import day_text, said_of_late
from training.records.keeping import head
from training.records.sheets import forks_text
from training.records.wording.signoffs import say_signed
from training.reports.confirming import describe_confirmation

FEW = 4  # entries of each kind that the first view of a record shows


@dataclass(frozen=True, slots=True)
class RecordLine:
    """One entry: its day, what happened, what was written beside it, when the shop knew, and why it
    never counted.
    """

    on: date
    text: str
    note: str
    recorded_at: datetime
    void: str


@dataclass(frozen=True, slots=True)
class Part:
    """All entries of one kind, the oldest first."""

    code: str
    title: str
    lines: tuple[RecordLine, ...]

    @property
    def newest(self) -> tuple[RecordLine, ...]:
        """A few of the newest entries, the newest first."""
        return self.lines[: -FEW - 1 : -1]

    @property
    def many(self) -> str:
        """How many entries there are, as text."""
        return str(len(self.lines))

    @property
    def has_more(self) -> bool:
        """Whether there are more than the newest few."""
        return len(self.lines) > FEW


@dataclass(frozen=True, slots=True)
class PersonRecord:
    """The whole record of a person at one moment, with the entry of the record book at which it
    stood.
    """

    person: User
    at: datetime
    parts: tuple[Part, ...]
    number: str
    digest: str


def person_record(person: User, now: datetime) -> PersonRecord:
    """Everything on record about this person; a fixed number of queries."""
    number, digest = head()
    reader = _Reader(person)
    quizzes = sorted(reader.quizzes(), key=lambda line: (line.on, line.recorded_at))
    parts = (
        Part("signoffs", gettext("Sign-offs"), tuple(reader.signoffs())),
        Part("standdowns", gettext("Stand-downs"), tuple(reader.standdowns())),
        Part("observations", gettext("Observations"), tuple(reader.observations())),
        Part("jobs", gettext("Jobs"), tuple(reader.jobs())),
        Part("quizzes", gettext("Quizzes"), tuple(quizzes)),
        Part("readings", gettext("Readings"), tuple(reader.readings())),
        Part("appointments", gettext("Appointments to sign off"), tuple(reader.appointments())),
    )
    return PersonRecord(person, now, parts, str(number), digest)


class _Reader:
    """Reads one person's rows; the titles of levels and the person's voids are read once."""

    def __init__(self, person: User) -> None:
        self.person = person
        rules = LevelRules.objects.order_by("pk").values_list("level__name", "title")
        self.titles: dict[str, str] = dict(rules)
        self.late = said_of_late(person.workshop.time_zone)
        self.voids = list(Void.objects.filter(person=person).select_related("by").order_by("pk"))

    def _rows(self, rows: QuerySet[Any], *related: str) -> QuerySet[Any]:
        return (
            rows.filter(person=self.person)
            .select_related(*related)
            .order_by("happened_on", "recorded_at", "pk")
        )

    def _title(self, level: str) -> str:
        return self.titles.get(level, level)

    def _line(
        self, row: Any, text: str, *, kind: str = "", about: str = "", note: str = ""
    ) -> RecordLine:
        void = next(
            (
                f"Cancelled: it never counted. {void.reason} ({void.by.name}, "
                f"{day_text(void.recorded_at)})"
                for void in self.voids
                if (void.kind, void.about, void.happened_on) == (kind, about, row.happened_on)
                and row.recorded_at <= void.recorded_at
            ),
            "",
        )
        return RecordLine(row.happened_on, text, note, row.recorded_at, void)

    def readings(self) -> Iterator[RecordLine]:
        for row in self._rows(Reading.objects.all(), "revision__writeup"):
            name = row.revision.writeup.name
            yield self._line(
                row,
                f"{row.revision.writeup.title}, revision {row.revision.number}",
                kind="reading",
                about=name,
            )

    def quizzes(self) -> Iterator[RecordLine]:
        ended = Sitting.objects.filter(recorded_at__isnull=False)
        for row in self._rows(ended, "quiz"):
            is_passed = row.percent >= row.pass_percent and row.critical_right
            text = (
                f"{row.quiz.title}: {row.percent.normalize():f} % of {row.pass_percent} % asked, "
            )
            text += "passed" if is_passed else "not passed"
            yield self._line(row, text + _critical(row), kind="pass", about=row.quiz.name)
        for row in self._rows(PaperPass.objects.all(), "level"):
            text = (
                f"{self._title(row.level.name)}, on paper: {row.percent.normalize():f} "
                f"%{_critical(row)}"
            )
            yield self._line(row, text, kind="pass", about=row.level.name)

    def jobs(self) -> Iterator[RecordLine]:
        for row in self._rows(
            Job.objects.all(),
            "level",
            "watched_by",
            "revision__writeup",
            "confirmation",
            "taken_back",
        ):
            how = f"watched by {row.watched_by.name}" if row.watched_by else "alone"
            text = (
                f"{self._title(row.level.name)}, "
                f"{how}{_fork(row)}{', came back' if row.came_back else ''}"
            )
            text += describe_confirmation(row) + self.late(row.happened_on, row.recorded_at)
            yield self._line(row, text, kind="job", about=row.level.name, note=_note(row))

    def observations(self) -> Iterator[RecordLine]:
        for row in self._rows(Observation.objects.all(), "level", "observer"):
            seen = "right" if row.right else "not right"
            text = (
                f"{self._title(row.level.name)}, observed by {row.observer.name}: "
                f"{seen}{_fork(row)}"
            )
            text += self.late(row.happened_on, row.recorded_at)
            yield self._line(row, text, kind="observation", about=row.level.name, note=row.note)

    def signoffs(self) -> Iterator[RecordLine]:
        for row in self._rows(SignOff.objects.all(), "level", "signer"):
            said = say_signed(
                row.printed_name or row.signer.name,
                founding=row.founding,
                own=row.signer_id == row.person_id,
            )
            text = f"{self._title(row.level.name)}. {said}, {forks_text(row.limits)}"
            note = " ".join(part for part in (row.meaning, row.note) if part)
            yield self._line(row, text, kind="signoff", about=row.level.name, note=note)

    def appointments(self) -> Iterator[RecordLine]:
        ends = Prefetch("ends", AppointmentEnd.objects.select_related("by").order_by("pk"))
        for row in self._rows(Appointment.objects.prefetch_related(ends), "level", "by"):
            until = f" until {day_text(row.until)}" if row.until else ""
            ended = "".join(
                f", ended by {end.by.name} from {day_text(end.until)} on" for end in row.ends.all()
            )
            yield self._line(row, f"{self._title(row.level.name)}, by {row.by.name}{until}{ended}")

    def standdowns(self) -> Iterator[RecordLine]:
        for row in self._rows(StandDown.objects.all(), "level", "by", "lift__by"):
            what = self._title(row.level.name) if row.level else "every level"
            lift = getattr(row, "lift", None)
            by = f" by {lift.by.name}" if lift and lift.by else ""
            lifted = f", lifted {day_text(lift.happened_on)}{by}" if lift else ", not lifted"
            note = " ".join(part for part in (row.reason, lift.reason if lift else "") if part)
            yield self._line(row, f"{what}, by {row.by.name}{lifted}", note=note)


def _critical(row: Sitting | PaperPass) -> str:
    return "" if row.critical_right else ", a critical question wrong"


def _fork(row: Job | Observation) -> str:
    return "".join(f", {name} {option}" for name, option in row.variant.items())


def _note(row: Job) -> str:
    """What somebody wrote beside a job, and what of it was measured outside its range."""
    return " ".join(part for part in (row.note, outside_said(row.values)) if part)
