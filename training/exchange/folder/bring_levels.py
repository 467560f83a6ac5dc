"""How do the levels of a delivery come in, with the versions of their rules?"""

from __future__ import annotations

from datetime import date
from typing import Any

from procedures.models import WriteUp
from quizzes.actions import questions as quizzes_actions
from training.exchange.folder.bringing import Bringing
from training.exchange.folder.delivery import Record
from training.models import Level, LevelRules, as_columns
from training.records.keeping import record_all
from training.standing.terms import TERMS


def bring_levels(writing: Bringing) -> None:
    """The levels with each version of their rules, and a quiz for each."""
    rows = writing.delivery.rows("levels.csv")
    made = {row["level"]: Level(name=row["level"]) for row in rows}
    Level.objects.bulk_create(made.values())
    rules = [
        LevelRules(level=made[row["level"]], recorded_at=writing.now, **_terms_of(row))
        for row in rows
    ]
    LevelRules.objects.bulk_create(rules)
    record_all(LevelRules.KIND, rules)
    newest = {row["level"]: row for row in sorted(rows, key=lambda row: row["from"] or date.min)}
    # The newest rules say what the quiz is on; older versions only answer for older days.
    for name, row in newest.items():
        writeups = WriteUp.objects.filter(name__in=row["writeups"])
        quiz = quizzes_actions.make_quiz(
            name=name, title=row["title"], writeups=writeups, now=writing.now
        )
        made[name].quiz = quiz
        made[name].save()
    record_all(Level.KIND, list(made.values()))
    writing.level_rows = {level.name: level for level in Level.objects.select_related("quiz")}
    writing.counts["level"] = len(made)


def _terms_of(row: Record) -> dict[str, Any]:
    terms = as_columns({name: row[name] for name, term in TERMS.items() if term.in_folder})
    return terms | {"from_day": row["from"]}
