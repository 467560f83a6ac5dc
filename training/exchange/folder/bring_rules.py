"""How do the rules of the quizzes and of late entries come in, so that a shop brought in judges as
it did?
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils.translation import gettext

from procedures.records.refused import Refused, make_refusal
from quizzes.actions.questions import set_quiz_rules
from quizzes.models import QuizRules
from training.exchange.folder.delivery import Delivery, Fault, Record
from training.models import EntryRules, Level, User
from training.records.keeping import record_all

QUIZ_RULES = (
    "size",
    "critical_percent",
    "parts",
    "minutes",
    "wait_days",
    "sittings_a_day",
    "recall_percent",
)


def bring_quiz_rules(
    delivery: Delivery, levels: Mapping[str, Level], now: datetime
) -> Iterator[Fault]:
    """Write what the quiz of each level of the folder draws and asks; what cannot be is told as a
    fault.
    """
    open_levels = {row["level"] for row in delivery.rows("levels.csv")}
    for row in delivery.rows("quizzes.csv"):
        name = row["level"]
        quiz = levels[name].quiz if name in open_levels else None
        # Each one once: the second row of a level is told as a fault.
        open_levels.discard(name)
        # Rules that people sit by are changed on their page, by somebody signed in.
        if quiz is None:
            expected = gettext("a level of levels.csv in this folder, each one once")
            yield row.fault(
                "level",
                gettext("the quiz of '{name}' has its rules already").format(name=name),
                expected,
            )
            continue
        outside = list(_outside(row))
        yield from outside
        if outside:
            continue
        try:
            set_quiz_rules(quiz=quiz, now=now, **{rule: row[rule] for rule in QUIZ_RULES})
        except Refused as refused:
            yield from (_fault(row, text) for text in refused.details or (refused.message,))


def _outside(row: Record) -> Iterator[Fault]:
    """Each number that lies outside of what its column may hold."""
    fields = [field for field in QuizRules._meta.fields if field.name in QUIZ_RULES]
    for field in fields:
        rule = field.name
        bounds = {
            type(one): one.limit_value
            for one in field.validators
            if isinstance(one, MinValueValidator | MaxValueValidator)
        }
        least, most = bounds.get(MinValueValidator, 0), bounds.get(MaxValueValidator)
        if most is not None and not least <= row[rule] <= most:
            yield row.fault(
                rule,
                gettext("{number} is too small or too large").format(number=row[rule]),
                gettext("a whole number from {least} to {most}").format(least=least, most=most),
            )


def bring_entry_rules(
    delivery: Delivery, people: Mapping[str, User], now: datetime
) -> Iterator[Fault]:
    """Write how late a job may be entered, where the folder says so and the shop does not yet."""
    for row in delivery.rows("late-entries.csv"):
        if EntryRules.objects.exists():
            yield row.fault(
                "days_back",
                gettext("this is set already"),
                gettext("one row, in a shop without it"),
            )
            continue
        rules = EntryRules(
            days_back=row["days_back"], by=people[row["by"]], recorded_at=row["recorded_at"] or now
        )
        try:
            rules.full_clean()
        except ValidationError as error:
            yield _fault(row, make_refusal(error).message)
            continue
        rules.save()
        record_all(EntryRules.KIND, [rules])


def _fault(row: Record, text: str) -> Fault:
    return Fault(row.file, row.row, "", text, "")
