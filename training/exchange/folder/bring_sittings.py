"""How do the sittings of a delivery come in?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.utils.translation import gettext

from procedures.records.refused import Refused
from quizzes.actions.bringing import bring_sitting
from quizzes.models import QuestionVersion, Quiz
from training.exchange.folder.bringing import Bringing
from training.exchange.folder.delivery import Fault, Record
from training.models import LevelRules

Versions = Mapping[tuple[str, str], QuestionVersion]


def bring_sittings(writing: Bringing) -> None:
    """Every sitting with its answers; what is refused or asks an unknown question is a fault."""
    rows = writing.delivery.rows("sittings.csv")
    versions = _versions_in_use() if rows else {}
    found: dict[tuple[str, str, datetime], list[Record]] = {}
    for row in rows:
        # One sitting ends at one moment, by which the rows of its answers know each other.
        found.setdefault((row["login"], row["level"], row["recorded_at"]), []).append(row)
    quizzes = {quiz.name: quiz for quiz in Quiz.objects.all()}
    marks = dict(LevelRules.objects.order_by("pk").values_list("level__name", "pass_percent"))
    for number, ((login, level, at), answers) in enumerate(found.items(), start=1):
        writing.tell(f"Writing sitting {number} of {len(found)}")
        wrong = [*_unknown_questions(answers, versions), *_asked_twice(answers)]
        if level not in quizzes:
            without = gettext("{level} has no quiz").format(level=level)
            wrong.append(answers[0].fault("level", without, gettext("a level with write-ups")))
        if wrong:
            writing.faults += wrong
            continue
        try:
            bring_sitting(
                quiz=quizzes[level],
                person=writing.logins[login],
                pass_percent=marks[level],
                on=answers[0]["on"],
                started_at=answers[0]["started_at"],
                recorded_at=at,
                answers=[
                    (versions[row["writeup"], row["question"]], row["given"]) for row in answers
                ],
            )
        except Refused as refused:
            writing.faults += [
                answers[0].fault("question", text) for text in refused.details or (refused.message,)
            ]
    writing.counts["sitting"] = len(found)


def _versions_in_use() -> Versions:
    return {
        (version.question.writeup.name, version.question.name): version
        for version in QuestionVersion.objects.in_use().select_related("question__writeup")
    }


def _unknown_questions(answers: Sequence[Record], versions: Versions) -> list[Fault]:
    return [
        row.fault(
            "question",
            gettext("{writeup} has no question '{question}'").format(
                writeup=row["writeup"], question=row["question"]
            ),
            gettext("one of questions/"),
        )
        for row in answers
        if (row["writeup"], row["question"]) not in versions
    ]


def _asked_twice(answers: Sequence[Record]) -> list[Fault]:
    """A right answer would else count as often as its row is there."""
    seen: set[tuple[str, str]] = set()
    found = []
    for row in answers:
        key = row["writeup"], row["question"]
        if key in seen:
            text = gettext("'{question}' is in this sitting already")
            wrong = text.format(question=row["question"])
            found.append(row.fault("question", wrong, gettext("each question once")))
        seen.add(key)
    return found
