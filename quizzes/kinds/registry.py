"""Which kinds of question are there?"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from quizzes.kinds.choose_all import ChooseAll
from quizzes.kinds.choose_one import ChooseOne
from quizzes.kinds.give_amount import GiveAmount
from quizzes.kinds.kind import Asked
from quizzes.kinds.match import Match
from quizzes.kinds.point_at import PointAt
from quizzes.kinds.put_in_order import PutInOrder

# By the word that authors write, in the order in which authors and pages are told of them.
KINDS: dict[str, type[Asked]] = {
    one.kind: one for one in (ChooseOne, ChooseAll, PutInOrder, GiveAmount, Match, PointAt)
}


def read_kept(kind: str, kept: Mapping[str, Any]) -> Asked:
    """What is asked, from `as_json`. Raises ValueError for a kind that is not known, KeyError for a
    missing part.
    """
    if kind not in KINDS:
        message = f"There is no kind of question called {kind!r}."
        raise ValueError(message)
    return KINDS[kind].from_json(kept)
