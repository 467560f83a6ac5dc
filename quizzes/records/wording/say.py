"""How is a remark on a question put into words for people?"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext

from procedures.records.wording import say as procedures_say
from procedures.records.wording.pieces import Words
from procedures.writeup.remarks import Remark
from quizzes.kinds.kind import Said
from quizzes.marking.advice import Advice
from quizzes.marking.texts import Fault
from quizzes.records.wording.advice import ADVICE, GUIDELINES
from quizzes.records.wording.figures import FIGURES
from quizzes.records.wording.packages import PACKAGES
from quizzes.records.wording.questions import ORDERS, QUESTIONS

OWN: Mapping[str, Words] = {**QUESTIONS, **ORDERS, **ADVICE, **FIGURES, **PACKAGES}
"""The words of every remark of this app, by its code."""

CATALOGUE: Mapping[str, Words] = {**procedures_say.CATALOGUE, **OWN}
"""The same with those of the write-ups: a question's amount is read as theirs are."""


def say(said: Said) -> str:
    """The remark as sentences; an author's own words as they are."""
    return procedures_say.say(said, CATALOGUE) if isinstance(said, Remark) else said


@dataclass(frozen=True, slots=True)
class AdviceTold:
    """One piece of advice in words, with the guideline behind it."""

    rule: str
    message: str
    guideline: str
    question: str


def say_advice(advice: Advice) -> AdviceTold:
    """A piece of advice in words."""
    guideline = str(GUIDELINES[advice.rule])
    return AdviceTold(advice.rule, say(advice.remark), guideline, advice.question)


def say_fault(fault: Fault) -> str:
    """Where a text of questions cannot be read, and why."""
    where = {"line": fault.line, "question": fault.question, "what": say(fault.remark)}
    if not fault.line:
        return gettext("{question}: {what}").format(**where)
    if not fault.question:
        return gettext("line {line}: {what}").format(**where)
    return gettext("line {line}: {question}: {what}").format(**where)
