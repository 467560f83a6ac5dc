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
from training.records.benchwork import say_outside
from training.records.gathering import days_late
from training.records.keeping import head
from training.records.sheets import forks_text
from training.records.wording import lines as said
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
        self.late = days_late(person.workshop.time_zone)
        # Once for all kinds: a void names kind, level and day, so it is matched here.
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
                said.say_cancelled(void.reason, void.by.name, void.recorded_at)
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
                said.say_reading(row.revision.writeup.title, row.revision.number),
                kind="reading",
                about=name,
            )

    def quizzes(self) -> Iterator[RecordLine]:
        # An open one tells nothing yet, and would tell its answers.
        ended = Sitting.objects.filter(recorded_at__isnull=False)
        for row in self._rows(ended, "quiz"):
            result = said.say_sitting(
                row.percent, row.pass_percent, critical_right=row.critical_right
            )
            yield self._line(row, f"{row.quiz.title}: {result}", kind="pass", about=row.quiz.name)
        for row in self._rows(PaperPass.objects.all(), "level"):
            result = said.say_paper_quiz(row.percent, critical_right=row.critical_right)
            yield self._line(row, self._at(row, result), kind="pass", about=row.level.name)

    def jobs(self) -> Iterator[RecordLine]:
        for row in self._rows(
            Job.objects.all(),
            "level",
            "watched_by",
            "revision__writeup",
            "confirmation",
            "taken_back",
        ):
            told = (
                said.say_job(row.watched_by.name if row.watched_by else "", row.variant),
                said.say_came_back() if row.came_back else "",
                describe_confirmation(row),
                said.say_late(self.late(row.happened_on, row.recorded_at)),
            )
            text = self._at(row, " ".join(filter(None, told)))
            yield self._line(row, text, kind="job", about=row.level.name, note=_note(row))

    def observations(self) -> Iterator[RecordLine]:
        for row in self._rows(Observation.objects.all(), "level", "observer"):
            told = (
                said.say_observation(row.observer.name, row.variant, right=row.right),
                said.say_late(self.late(row.happened_on, row.recorded_at)),
            )
            text = self._at(row, " ".join(filter(None, told)))
            yield self._line(row, text, kind="observation", about=row.level.name, note=row.note)

    def signoffs(self) -> Iterator[RecordLine]:
        for row in self._rows(SignOff.objects.all(), "level", "signer"):
            signed = say_signed(
                row.printed_name or row.signer.name,
                founding=row.founding,
                own=row.signer_id == row.person_id,
            )
            told = said.say_sign_off(signed, forks_text(row.limits))
            note = " ".join(part for part in (row.meaning, row.note) if part)
            yield self._line(
                row, self._at(row, told), kind="signoff", about=row.level.name, note=note
            )

    def appointments(self) -> Iterator[RecordLine]:
        ends = Prefetch("ends", AppointmentEnd.objects.select_related("by").order_by("pk"))
        for row in self._rows(Appointment.objects.prefetch_related(ends), "level", "by"):
            told = [said.say_appointment(row.by.name, row.until)]
            told += [said.say_appointment_ended(end.by.name, end.until) for end in row.ends.all()]
            yield self._line(row, self._at(row, " ".join(told)))

    def standdowns(self) -> Iterator[RecordLine]:
        for row in self._rows(StandDown.objects.all(), "level", "by", "lift__by"):
            lift = getattr(row, "lift", None)
            by = lift.by.name if lift and lift.by else ""
            told = f"{said.say_stand_down(row.by.name)} " + said.say_allowed(
                lift.happened_on if lift else None, by
            )
            note = " ".join(part for part in (row.reason, lift.reason if lift else "") if part)
            yield self._line(row, self._at(row, told), note=note)

    def _at(self, row: Any, told: str) -> str:
        """What is told of a row, after the title of its level."""
        title = self._title(row.level.name) if row.level else gettext("Every level")
        return f"{title}: {told}"


def _note(row: Job) -> str:
    """What somebody wrote beside a job, and what of it was measured outside its range."""
    return " ".join(part for part in (row.note, say_outside(row.values)) if part)
