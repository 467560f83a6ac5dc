"""What does somebody still remember of the questions that they have answered, and which ones are
about to be forgotten?

Ended sittings and refresher rounds feed it alike. Nothing of it is stored: it is worked out from
the answers when it is read.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from procedures.models import WriteUp
from procedures.records.statements import prepare_once
from procedures.records.texts import rules_text
from quizzes.memory.memory import WANTED, Look, Memory, find_due_day, rating_of, recall, remember
from quizzes.models import Answer, Question, QuestionVersion, QuizRules, RefresherAnswer
from quizzes.records.asking import list_askable
from quizzes.records.sources import Source, current_sources

Looks = Mapping[tuple[Any, int], list[Look]]


@dataclass(frozen=True, slots=True)
class Remembered:
    """One question that is asked today, with what one person remembers of it; `wanted` is the
    recall that its quiz asks.
    """

    version: QuestionVersion
    memory: Memory
    recall: float
    wanted: float
    due: date

    @property
    def is_due(self) -> bool:
        """Whether it is about to be forgotten."""
        return self.recall < self.wanted


@dataclass(frozen=True, slots=True)
class Asking:
    """The questions that can be asked on a day, by question, with the revisions and rules that they
    stand on.
    """

    versions: Mapping[int, QuestionVersion]
    sources: Mapping[int, Source]
    rules: str


def list_asked_on(
    today: date, writeups: Collection[int] | None = None, questions: Collection[int] | None = None
) -> Asking:
    """All that can be asked on a day, of some write-ups and questions (keys) or of all; a fixed
    number of queries.
    """
    keys = writeups if writeups is not None else list(WriteUp.objects.values_list("pk", flat=True))
    sources, rules = current_sources(keys, today), rules_text()
    asked = list_askable(sources, rules, questions)
    return Asking({version.question_id: version for version in asked}, sources, rules)


def list_looks(
    *, people: Iterable[Any] | None = None, questions: Collection[int] | None = None
) -> Looks:
    """Every answer that counts for memory, by person and question, in the order of giving; two
    queries.

    What was left open counts for nothing, nor does a sitting that was ended early: a practice round
    tells at once what is right, and would give the answers of questions away that nobody has tried.
    """
    sat, refreshed = _sat(), _refreshed()
    if people is not None:
        keys = list(people)
        sat, refreshed = (
            sat.filter(sitting__person__in=keys),
            refreshed.filter(round__person__in=keys),
        )
    if questions is not None:
        sat, refreshed = (
            sat.filter(version__question__in=questions),
            refreshed.filter(version__question__in=questions),
        )
    return _in_order([*sat, *refreshed])


def _sat() -> QuerySet[Any]:
    counted = Answer.objects.filter(
        sitting__recorded_at__isnull=False, given__isnull=False, marks__isnull=False
    )
    at = "sitting__happened_on", "marks", "sitting__recorded_at", "pk"
    return counted.values_list("sitting__person", "version__question", *at)


def _refreshed() -> QuerySet[Any]:
    counted = RefresherAnswer.objects.filter(given__isnull=False)
    at = "on", "marks", "given_at", "pk"
    return counted.values_list("round__person", "version__question", *at)


@prepare_once
def _ask_sat(person: Any) -> QuerySet[Any]:
    return _sat().filter(sitting__person=person)


@prepare_once
def _ask_refreshed(person: Any) -> QuerySet[Any]:
    return _refreshed().filter(round__person=person)


def _in_order(rows: list[tuple[Any, ...]]) -> Looks:
    found: dict[tuple[Any, int], list[Look]] = {}
    # By day, then by instant: a sitting brought in was recorded long after its day.
    for person, question, on, marks, _, _ in sorted(rows, key=lambda row: row[2:3] + row[4:]):
        if on is not None:
            found.setdefault((person, question), []).append(Look(on, rating_of(marks or 0)))
    return found


def wanted_recall() -> dict[int, float]:
    """The recall that is wanted, by write-up: the highest that a quiz on it asks; two queries."""
    keys: dict[str, int] = dict(_ask_writeup_keys())
    found: dict[int, float] = {}
    for writeups, recall_percent in _ask_wanted():
        for writeup in (keys[name] for name in writeups if name in keys):
            found[writeup] = max(found.get(writeup, 0), recall_percent / 100)
    return found


@prepare_once
def _ask_writeup_keys() -> QuerySet[Any]:
    return WriteUp.objects.values_list("name", "pk")


@prepare_once
def _ask_wanted() -> QuerySet[Any]:
    return QuizRules.objects.in_force().values_list("writeups", "recall_percent")


def list_remembered(person: Any, today: date, asking: Asking) -> tuple[Remembered, ...]:
    """What one person (key) remembers of each question that is asked today and was answered before:
    what is about to be forgotten first, of that the critical ones, then by what is remembered
    least; three queries."""
    seen = list_looks(people=[person], questions=list(asking.versions))
    wanted = wanted_recall()
    found = []
    for (_, question), answers in seen.items():
        version, memory = asking.versions[question], remember(answers)
        if memory is not None:
            want = wanted.get(version.question.writeup_id, WANTED)
            found.append(
                Remembered(version, memory, recall(memory, today), want, find_due_day(memory, want))
            )
    return tuple(
        sorted(
            found,
            key=lambda one: (
                not one.is_due,
                not one.version.critical,
                one.recall,
                one.version.question_id,
            ),
        )
    )


def count_due(person: Any, today: date) -> int:
    """How many questions somebody (key) is about to forget; none for somebody who has answered
    nothing.
    """
    if not Answer.objects.filter(
        sitting__person=person, sitting__recorded_at__isnull=False, given__isnull=False
    ).exists():
        return 0
    # Most of what somebody answered is far from forgotten: whether the rest can still be asked is
    # looked at last.
    due = _find_due(person, today)
    return len(list_asked_on(today, set(due.values()), due).versions) if due else 0


def _find_due(person: Any, today: date) -> dict[int, int]:
    """The questions (keys) that somebody is about to forget, whether or not they can be asked, each
    with its write-up (key).
    """
    looks = _in_order([*_ask_sat(person), *_ask_refreshed(person)])
    wanted = wanted_recall()
    questions = Question.objects.filter(pk__in=[question for _, question in looks])
    return {
        question: writeup
        for question, writeup in questions.values_list("pk", "writeup")
        if (memory := remember(looks[person, question])) is not None
        and recall(memory, today) < wanted.get(writeup, WANTED)
    }
