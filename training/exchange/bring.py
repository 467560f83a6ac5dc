"""How does a shop's folder of records come in: all of it, or nothing?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.db import transaction

from procedures.actions import writeups as procedures_actions
from procedures.actions.desk import bring_old
from procedures.models import Asks, Revision, WriteUp
from procedures.records import files
from procedures.records.refused import Refused
from quizzes.actions import questions as quizzes_actions
from quizzes.actions.bringing import bring_sitting
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.models import QuestionVersion, Quiz
from training.exchange.bring_rules import bring_entry_rules, bring_quiz_rules
from training.exchange.check import faults_in
from training.exchange.files import CONFIRMED, REFUSED
from training.exchange.read import BroughtRevision, Delivery, Fault, Record
from training.models import (
    DAYS,
    Absence,
    Appointment,
    AppointmentEnd,
    Entry,
    Job,
    JobConfirmation,
    Level,
    LevelRules,
    Lift,
    Observation,
    PaperPass,
    Reading,
    Rota,
    SignOff,
    StandDown,
    User,
    Void,
    Want,
    Workshop,
)
from training.records.clock import moment
from training.records.keeping import PERSON, record_all

BATCH = 500
PORTION = 5_000  # rows between two words on how far it is
# One of them, and several, where it is not the kind with an s
COUNTED = {
    "person": "people",
    "revision of a write-up": "revisions of write-ups",
    "quiz on paper": "quizzes on paper",
    "row of the rota": "rows of the rota",
    "draft from an old text": "drafts from old texts",
}
KINDS = {PaperPass.KIND: "quiz on paper", Lift.KIND: "lifted stand-down"}


class Faulty(Exception):
    """A delivery that cannot come in; `faults` says everything that is wrong with it."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__(f"{len(faults)} faults")
        self.faults = tuple(faults)


@dataclass(frozen=True, slots=True)
class Brought:
    """What came in: how many of what, in the order of writing."""

    counts: dict[str, int]

    def __str__(self) -> str:
        """1 reading, 2 jobs …, or nothing."""
        counted = [
            f"{count} {one if count == 1 else COUNTED.get(one, one + 's')}"
            for one, count in self.counts.items()
        ]
        return ", ".join(counted) or "nothing"


@transaction.atomic
def bring(
    delivery: Delivery,
    *,
    now: datetime | None = None,
    is_demo: bool = False,
    tell: Callable[[str], None] | None = None,
) -> Brought:
    """Write the whole delivery, with its entries in the record book; `tell` hears what is being
    written.

    Raises Faulty, and then nothing is written.
    """
    faults = faults_in(delivery)
    if faults:
        raise Faulty(faults)
    writing = _Writing(delivery, moment(now), is_demo=is_demo, tell=tell)
    writing.people()
    writing.writeups()
    writing.questions()
    writing.levels()
    writing.rules()
    writing.sittings()
    if writing.faults:
        raise Faulty(writing.faults)
    writing.photos()
    writing.evidence()
    writing.rota()
    return Brought({what: count for what, count in writing.counts.items() if count})


class _Writing:
    """One delivery on its way into the tables, with the names found so far."""

    def __init__(
        self,
        delivery: Delivery,
        now: datetime,
        *,
        is_demo: bool,
        tell: Callable[[str], None] | None,
    ) -> None:
        self.delivery, self.now, self.is_demo, self.tell = (
            delivery,
            now,
            is_demo,
            tell or (lambda _: None),
        )
        self.counts: dict[str, int] = {}
        self.faults: list[Fault] = []
        self.logins: dict[str, User] = {
            user.login: user for user in User.objects.select_related("workshop")
        }
        self.workshops = {row.name: row for row in Workshop.objects.order_by("pk")}
        self.level_rows: dict[str, Level] = {}
        self.revisions: dict[tuple[str, int], Revision] = {}

    def today(self) -> date:
        """The day of bringing in, in the (first) workshop."""
        return (
            next(iter(self.workshops.values())).day_of(self.now)
            if self.workshops
            else self.now.date()
        )

    def people(self) -> None:
        rows = self.delivery.rows("people.csv")
        for row in self.delivery.rows("workshops.csv"):
            self._workshop(row["workshop"], row["time_zone"], is_demo=row["demo"] or self.is_demo)
        for name in dict.fromkeys(row["workshop"] for row in rows):
            if name not in self.workshops:
                self._workshop(name, settings.TIME_ZONE, is_demo=self.is_demo)
        people = [
            User(
                login=row["login"],
                name=row["name"],
                trade=row["trade"],
                workshop=self.workshops[row["workshop"]],
                started=row["started"],
                left=row["left"],
            )
            for row in rows
        ]
        for person in people:
            person.set_unusable_password()
        User.objects.bulk_create(people, batch_size=BATCH)
        record_all(PERSON, people)
        self.logins |= {person.login: person for person in people}
        self.counts["person"] = len(people)

    def _workshop(self, name: str, time_zone: str, *, is_demo: bool) -> None:
        self.workshops[name] = Workshop(name=name, time_zone=time_zone, is_demo=is_demo)
        self.workshops[name].save()
        record_all(Workshop.KIND, [self.workshops[name]])

    def writeups(self) -> None:
        if self.delivery.rules is not None:
            procedures_actions.set_rules(text=self.delivery.rules, author=None, now=self.now)
        for brought in sorted(self.delivery.revisions, key=lambda row: (row.writeup, row.number)):
            self.tell(f"Writing {brought.file}")
            try:
                self._revision(brought)
            except Refused as refused:
                self.faults.append(Fault(brought.file, 0, "", refused.message, ""))
        for old in self.delivery.old:
            try:
                bring_old(name=old.writeup, guessed=old.guessed, now=self.now)
            except Refused as refused:
                self.faults.append(Fault(old.file, 0, "", refused.message, ""))
        self.counts["draft from an old text"] = len(self.delivery.old)
        self.revisions = {
            (row.writeup.name, row.number): row
            for row in Revision.objects.released().select_related("writeup")
        }
        self.counts["revision of a write-up"] = len(self.delivery.revisions)

    def _revision(self, brought: BroughtRevision) -> None:
        parsed = brought.parsed
        released = date.fromisoformat(parsed.released) if parsed.released else self.today()
        writeup = procedures_actions.bring_writeup(
            name=brought.writeup, title=parsed.title or brought.writeup
        )
        procedures_actions.bring_revision(
            writeup=writeup,
            number=brought.number,
            text=brought.text,
            asks=parsed.asks or Asks.NOTHING,
            released_on=released,
            released_at=datetime.fromisoformat(parsed.released_at) if parsed.released_at else None,
            now=self.now,
        )

    def levels(self) -> None:
        rows = self.delivery.rows("levels.csv")
        made = {row["level"]: Level(name=row["level"]) for row in rows}
        Level.objects.bulk_create(made.values())
        rules = [
            LevelRules(level=made[row["level"]], recorded_at=self.now, **self._terms(row))
            for row in rows
        ]
        LevelRules.objects.bulk_create(rules)
        record_all(LevelRules.KIND, rules)
        newest = {
            row["level"]: row for row in sorted(rows, key=lambda row: row["from"] or date.min)
        }
        for name, row in newest.items():
            writeups = WriteUp.objects.filter(name__in=row["writeups"])
            quiz = quizzes_actions.new_quiz(
                name=name, title=row["title"], writeups=writeups, now=self.now
            )
            made[name].quiz = quiz
            made[name].save()
        record_all(Level.KIND, list(made.values()))
        self.level_rows = {level.name: level for level in Level.objects.select_related("quiz")}
        self.counts["level"] = len(made)

    def rules(self) -> None:
        self.faults += bring_quiz_rules(self.delivery, self.level_rows, self.now)
        self.faults += bring_entry_rules(self.delivery, self.logins, self.now)

    def _terms(self, row: Record) -> dict[str, Any]:
        terms = {key: value for key, value in row.values.items() if key not in {"level", "from"}}
        return terms | {
            "earlier": list(row["earlier"]),
            "writeups": list(row["writeups"]),
            "from_day": row["from"],
        }

    def questions(self) -> None:
        total = 0
        for stem, text in self.delivery.questions.items():
            file = f"{stem}.yaml"
            try:
                questions = read_questions(text)
                writeup = WriteUp.objects.get(name=stem)
                quizzes_actions.bring_questions(writeup=writeup, questions=questions, now=self.now)
                total += len(questions)
            except BadQuestions as bad:
                self.faults += [Fault(file, 0, "", str(fault), "") for fault in bad.faults]
            except Refused as refused:
                self.faults += [
                    Fault(file, 0, "", text, "") for text in (refused.details or (refused.message,))
                ]
            except WriteUp.DoesNotExist:
                self.faults.append(
                    Fault(
                        file,
                        0,
                        "",
                        f"there is no write-up '{stem}'",
                        "the file named as its write-up",
                    )
                )
        self.counts["question"] = total

    def sittings(self) -> None:
        rows = self.delivery.rows("sittings.csv")
        versions = (
            {
                (version.question.writeup.name, version.question.name): version
                for version in QuestionVersion.objects.in_use().select_related("question__writeup")
            }
            if rows
            else {}
        )
        found: dict[tuple[str, str, datetime], list[Record]] = {}
        for row in rows:
            found.setdefault((row["login"], row["level"], row["recorded_at"]), []).append(row)
        quizzes = {quiz.name: quiz for quiz in Quiz.objects.all()}
        marks = dict(LevelRules.objects.order_by("pk").values_list("level__name", "pass_percent"))
        for number, ((login, level, at), answers) in enumerate(found.items(), start=1):
            self.tell(f"Writing sitting {number} of {len(found)}")
            unknown = [row for row in answers if (row["writeup"], row["question"]) not in versions]
            if unknown:
                self.faults += [
                    row.fault(
                        "question",
                        f"{row['writeup']} has no question '{row['question']}'",
                        "one of questions/",
                    )
                    for row in unknown
                ]
                continue
            try:
                bring_sitting(
                    quiz=quizzes[level],
                    person=self.logins[login],
                    pass_percent=marks[level],
                    on=answers[0]["on"],
                    started_at=answers[0]["started_at"],
                    recorded_at=at,
                    answers=[
                        (versions[row["writeup"], row["question"]], row["given"]) for row in answers
                    ],
                )
            except Refused as refused:
                self.faults += [
                    answers[0].fault("question", text)
                    for text in refused.details or (refused.message,)
                ]
        self.counts["sitting"] = len(found)

    def photos(self) -> None:
        for path in self.delivery.photos.values():
            self.tell(f"Writing photo {path.name}")
            files.keep(path.read_bytes())
        self.counts["photo"] = len(self.delivery.photos)

    def evidence(self) -> None:
        self._appointment_ends(
            self._write(
                "appointments.csv",
                Appointment,
                lambda row: {
                    "happened_on": row["from"],
                    "level": self.level_rows[row["level"]],
                    "by": self.logins[row["by"]],
                    "until": row["until"],
                },
            )
        )
        self._write("readings.csv", Reading, lambda row: {"revision": self._revision_of(row)})
        self._write(
            "passes.csv",
            PaperPass,
            lambda row: {
                "level": self.level_rows[row["level"]],
                "percent": row["percent"],
                "critical_right": row["critical_right"],
            },
        )
        self._confirmations(
            self._write(
                "jobs.csv",
                Job,
                lambda row: {
                    "level": self.level_rows[row["level"]],
                    "watched_by": self._somebody(row["watched_by"]),
                    "variant": row["variant"],
                    "came_back": row["came_back"],
                    "note": row["note"],
                    "revision": self._revision_of(row),
                    "tools": row.values.get("tools") or [],
                    "needs_confirmation": row["confirmation"] is not None,
                },
            )
        )
        self._write(
            "observations.csv",
            Observation,
            lambda row: {
                "level": self.level_rows[row["level"]],
                "observer": self.logins[row["observer"]],
                "right": row["right"],
                "note": row["note"],
                "tools": row.values.get("tools") or [],
                "revision": self._revision_of(row),
                "variant": row["variant"],
                "lines": row["lines"],
                "photos": row["photos"],
            },
        )
        self._write(
            "signoffs.csv",
            SignOff,
            lambda row: {
                "level": self.level_rows[row["level"]],
                "signer": self.logins[row["signed_by"]],
                "limits": row["variants"],
                "founding": row["founding"],
                "note": row["note"],
            },
        )
        standdowns = self._write(
            "standdowns.csv",
            StandDown,
            lambda row: {
                "happened_on": row["from"],
                "level": self.level_rows.get(row["level"]),
                "by": self.logins[row["by"]],
                "reason": row["reason"],
            },
        )
        self._lifts(standdowns)
        self._write(
            "voids.csv",
            Void,
            lambda row: {
                "kind": row["kind"],
                "about": row["about"],
                "by": self.logins[row["by"]],
                "reason": row["reason"],
            },
        )

    def _somebody(self, login: str | None) -> User | None:
        return self.logins[login] if login else None

    def _revision_of(self, row: Record) -> Revision | None:
        return self.revisions[row["writeup"], row["revision"]] if row["writeup"] else None

    def _write(
        self, file: str, model: type[Entry], columns: Callable[[Record], dict[str, Any]]
    ) -> list[tuple[Record, Any]]:
        made = [
            (
                row,
                model(
                    **{
                        "person": self.logins[row["login"]],
                        "happened_on": row.values.get("on"),
                        "recorded_at": row["recorded_at"] or self.now,
                        **columns(row),
                    }
                ),
            )
            for row in self.delivery.rows(file)
        ]
        self._keep(model, [entry for _, entry in made])
        return made

    def _lifts(self, standdowns: list[tuple[Record, Any]]) -> None:
        self._keep(
            Lift,
            [
                Lift(
                    standdown=entry,
                    happened_on=row["lifted_on"],
                    by=self._somebody(row["lifted_by"]),
                    recorded_at=row["lift_recorded_at"] or entry.recorded_at,
                )
                for row, entry in standdowns
                if row["lifted_on"]
            ],
        )

    def _appointment_ends(self, appointments: list[tuple[Record, Any]]) -> None:
        self._keep(
            AppointmentEnd,
            [
                AppointmentEnd(
                    appointment=entry,
                    happened_on=self._day_of(at),
                    until=until,
                    by=self.logins[by],
                    recorded_at=at,
                )
                for row, entry in appointments
                for until, at, by in zip(
                    row["ended"], row["ended_at"], row["ended_by"], strict=True
                )
            ],
        )

    def _confirmations(self, jobs: list[tuple[Record, Any]]) -> None:
        self._keep(
            JobConfirmation,
            [
                JobConfirmation(
                    job=entry,
                    happened_on=self._day_of(row["confirmation_at"]),
                    by=entry.watched_by,
                    confirmed=row["confirmation"] == CONFIRMED,
                    reason=row["confirmation_reason"],
                    recorded_at=row["confirmation_at"],
                )
                for row, entry in jobs
                if row["confirmation"] in (CONFIRMED, REFUSED)
            ],
        )

    def _day_of(self, instant: datetime) -> date:
        return next(iter(self.workshops.values())).day_of(instant)

    def _keep(self, model: type[Entry], rows: Sequence[Entry]) -> None:
        for start in range(0, len(rows), PORTION):
            some = rows[start : start + PORTION]
            self.tell(f"Writing {model.KIND} {start + 1} of {len(rows)}")
            model._default_manager.bulk_create(some, batch_size=BATCH)
            record_all(model.KIND, some)
        self.counts[KINDS.get(model.KIND, model.KIND)] = len(rows)

    def rota(self) -> None:
        def days(row: Record) -> dict[str, Any]:
            return {day: row[day] for day in DAYS}

        Rota.objects.bulk_create(
            Rota(
                person=self.logins[row["login"]],
                workshop=self.workshops[row["workshop"]],
                first=row["from"],
                until=row["until"],
                **days(row),
            )
            for row in self.delivery.rows("rota.csv")
        )
        Absence.objects.bulk_create(
            Absence(
                person=self.logins[row["login"]],
                first=row["from"],
                until=row["until"],
                why=row["why"],
            )
            for row in self.delivery.rows("absences.csv")
        )
        Want.objects.bulk_create(
            Want(
                workshop=self.workshops[row["workshop"]],
                level=self.level_rows[row["level"]],
                **days(row),
            )
            for row in self.delivery.rows("want.csv")
        )
        for one, file in (
            ("row of the rota", "rota.csv"),
            ("absence", "absences.csv"),
            ("want", "want.csv"),
        ):
            self.counts[one] = len(self.delivery.rows(file))
