"""Where do a write-up's critical steps and cautions lack a question or a line on the check
sheet?
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from django.utils.translation import gettext

from procedures.models import Revision
from procedures.records.texts import rules_text
from quizzes.marking.coverage import gaps
from quizzes.models import QuestionVersion
from quizzes.records.asking import list_askable
from quizzes.records.sources import Source
from quizzes.records.wording.say import say


@dataclass(frozen=True, slots=True)
class GapTold:
    """One critical step or caution in words, and what it lacks."""

    what: str
    no_question: bool
    no_line: bool

    @property
    def lacks(self) -> str:
        if self.no_question and self.no_line:
            return gettext("no question and no line on the check sheet")
        return gettext("no question") if self.no_question else gettext("no line on the check sheet")


def gaps_of(source: Source, asked: Collection[QuestionVersion]) -> tuple[GapTold, ...]:
    """The gaps of this revision, with the questions on it that are asked at present."""
    tested = {step for version in asked for step in version.steps}
    return tuple(
        GapTold(say(gap.what), gap.no_question, gap.no_line) for gap in gaps(source.writeup, tested)
    )


def tell_gaps(revision: Revision) -> tuple[str, ...]:
    """The gaps of any revision, in sentences, with the questions that fit it; five queries."""
    source = Source(revision.writeup.name, revision.number, revision.text, revision.changed_at)
    found = gaps_of(source, list_askable({revision.writeup_id: source}, rules_text()))
    return tuple(
        gettext("{what}: {lacks}.").format(what=gap.what, lacks=gap.lacks) for gap in found
    )
