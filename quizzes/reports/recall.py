"""Which critical steps of a level is each person about to forget?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib.auth import get_user_model

from quizzes.memory.memory import recall, remember
from quizzes.models import QuestionVersion, Quiz
from quizzes.records.recalling import Asking, Looks, list_asked_on, list_looks


@dataclass(frozen=True, slots=True)
class Fading:
    """One critical step whose predicted recall is below what is wanted; `recall` in per cent, or
    empty where nothing on the step was ever answered."""

    step: str
    writeup: str
    recall: str
    last: date | None


@dataclass(frozen=True, slots=True)
class PersonRecall:
    """One person: how many of the critical steps are below, and which."""

    name: str
    below: str
    worst: float
    steps: tuple[Fading, ...]


@dataclass(frozen=True, slots=True)
class RecallPage:
    """A quiz with everybody who has answered its questions, the most forgetful first."""

    name: str
    title: str
    wanted: str
    critical: str
    people: tuple[PersonRecall, ...]


def recall_page(quiz: Quiz, today: date) -> RecallPage:
    """The predicted recall of the critical steps of a quiz, by person. Of several questions on a
    step the one remembered least counts. A fixed number of queries."""
    asking = list_asked_on(today, list(quiz.writeups.values_list("pk", flat=True)))
    by_step = _critical_steps(asking.versions.values())
    seen = list_looks(questions=list(asking.versions))
    users = get_user_model()._default_manager.filter(
        pk__in={person for person, _ in seen}, is_active=True
    )
    wanted = quiz.rules.recall_percent / 100
    people = [
        _person(user.pk, str(user), by_step, seen, asking, today, wanted)
        for user in users.order_by("pk")
    ]
    return RecallPage(
        quiz.name,
        quiz.title,
        str(quiz.rules.recall_percent),
        str(len(by_step)),
        tuple(sorted(people, key=lambda one: (-len(one.steps), one.worst, one.name))),
    )


Steps = Mapping[tuple[int, str], list[QuestionVersion]]


def _critical_steps(versions: Iterable[QuestionVersion]) -> Steps:
    found: dict[tuple[int, str], list[QuestionVersion]] = {}
    for version in versions:
        if version.critical:
            for step in version.steps:
                found.setdefault((version.question.writeup_id, step), []).append(version)
    return found


def _person(
    person: Any, name: str, by_step: Steps, seen: Looks, asking: Asking, today: date, wanted: float
) -> PersonRecall:
    fading: list[tuple[float, Fading]] = []
    for (writeup, step), versions in by_step.items():
        memories = [remember(seen.get((person, version.question_id), [])) for version in versions]
        known = [(recall(memory, today), memory.last) for memory in memories if memory]
        least, last = min(known, default=(0.0, None))
        if least < wanted:
            source = asking.sources[writeup]
            title = source.titles().get(step, step)
            fading.append(
                (least, Fading(title, source.name, f"{least * 100:.0f}" if known else "", last))
            )
    fading.sort(key=lambda one: (one[0], one[1].step))
    below = f"{len(fading)} of {len(by_step)}" if fading else ""
    return PersonRecall(
        name, below, fading[0][0] if fading else 1.0, tuple(one for _, one in fading)
    )
