"""Where do a write-up's critical steps and cautions lack a question or a line on the check sheet?"""

from __future__ import annotations

from collections.abc import Collection

from quizzes.marking.coverage import Gap, gaps
from quizzes.models import QuestionVersion
from quizzes.sources import Source


def gaps_of(source: Source, asked: Collection[QuestionVersion]) -> tuple[Gap, ...]:
    """The gaps of this revision, with the questions on it that are asked at present."""
    return gaps(source.writeup, {step for version in asked for step in version.steps})
