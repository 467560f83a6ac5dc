"""Where do a write-up's critical steps and cautions lack a question or a line on the check
sheet?
"""

from __future__ import annotations

from collections.abc import Collection

from procedures.models import Revision
from procedures.records.texts import rules_text
from quizzes.marking.coverage import Gap, gaps
from quizzes.models import QuestionVersion
from quizzes.records.asking import list_askable
from quizzes.records.sources import Source


def gaps_of(source: Source, asked: Collection[QuestionVersion]) -> tuple[Gap, ...]:
    """The gaps of this revision, with the questions on it that are asked at present."""
    return gaps(source.writeup, {step for version in asked for step in version.steps})


def tell_gaps(revision: Revision) -> tuple[str, ...]:
    """The gaps of any revision, in sentences, with the questions that fit it; five queries."""
    source = Source(revision.writeup.name, revision.number, revision.text, revision.changed_at)
    found = gaps_of(source, list_askable({revision.writeup_id: source}, rules_text()))
    return tuple(f"{gap.what}: {' and '.join(_lacks(gap))}." for gap in found)


def _lacks(gap: Gap) -> tuple[str, ...]:
    return ("no question",) * gap.no_question + ("no line on the check sheet",) * gap.no_line
