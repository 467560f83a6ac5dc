"""What does somebody who writes questions see of the drafts about a write-up?"""

from __future__ import annotations

from dataclasses import dataclass

from procedures.models import WriteUp
from quizzes.kinds.kind import QuestionText
from quizzes.marking.advice import advise
from quizzes.records.offered import offered_drafts
from quizzes.records.sources import newest_source
from quizzes.records.wording.say import say


@dataclass(frozen=True, slots=True)
class DraftShown:
    """One draft: what it asks, what is right and what wrong, in words, and the steps that it
    stands on.
    """

    name: str
    kind: str
    critical: bool
    stem: str
    right: tuple[str, ...]
    wrong: tuple[str, ...]
    step: str
    advice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DraftsPage:
    writeup: str
    title: str
    count: str
    drafts: tuple[DraftShown, ...]


def drafts_page(writeup: WriteUp) -> DraftsPage:
    """Every draft that is still offered; five queries."""
    offered = offered_drafts(writeup)
    source = newest_source(writeup) if offered else None
    titles = source.titles() if source else {}
    shown = tuple(_shown(draft, titles) for draft in offered)
    return DraftsPage(writeup.name, writeup.title, str(len(shown)), shown)


def _shown(draft: QuestionText, titles: dict[str, str]) -> DraftShown:
    right, wrong = draft.asked.key_words(titles)
    return DraftShown(
        draft.name,
        draft.asked.kind,
        draft.critical,
        draft.stem,
        right,
        wrong,
        "; ".join(titles.get(step, step) for step in draft.steps),
        tuple(say(one.remark) for one in advise(draft)),
    )
