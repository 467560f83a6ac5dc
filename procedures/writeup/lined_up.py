"""Which things of one row stand, in the same order, in another?

The lining up itself is the standard library's SequenceMatcher. Its time grows with the cube of the
length where a few things come again and again (“a b a b …”): half a minute for a text of a page. So
the things that both rows begin and end with are taken off first, and what is left is lined up only
while it stays small.
"""

from collections import Counter
from collections.abc import Hashable, Iterator, Sequence
from difflib import SequenceMatcher
from typing import Literal

LinedUp = tuple[Literal["equal", "other"], int, int, int, int]
"""Whether it is equal, first and end in the old row, first and end in the new one."""

MOST_PAIRS = 50_000
"""So many times may a thing of one row be the same as one of the other. Two pages of prose make a
few thousand; as many as this take a sixth of a second at the worst.
"""

LONG = 200  # so long is a row in which the library leaves out what is not rare


def line_up(
    old: Sequence[Hashable], new: Sequence[Hashable], *, rare_only: bool = False
) -> Iterator[LinedUp]:
    """Stretches of both rows in their order, none left out, none empty in both. Rows that are alike
    too often have one stretch that is other, between how both begin and how both end. With
    `rare_only` what makes up more than a hundredth of a long row is held on to only beside what is
    rarer: so are lines, of which the blank ones say nothing.
    """
    shorter = min(len(old), len(new))
    # Most edits touch a word or two; lining up what is the same would be most of the work.
    head = next((place for place in range(shorter) if old[place] != new[place]), shorter)
    rest = shorter - head
    tail = next((place for place in range(rest) if old[-1 - place] != new[-1 - place]), rest)
    end_old, end_new = len(old) - tail, len(new) - tail
    if head:
        yield "equal", 0, head, 0, head
    yield from _line_up_middle(old[head:end_old], new[head:end_new], head, rare_only=rare_only)
    if tail:
        yield "equal", end_old, len(old), end_new, len(new)


def _line_up_middle(
    old: Sequence[Hashable], new: Sequence[Hashable], head: int, *, rare_only: bool
) -> Iterator[LinedUp]:
    if not old and not new:
        return
    counted = Counter(new)
    if rare_only and len(new) >= LONG:
        counted -= Counter(
            {thing: many for thing, many in counted.items() if many > len(new) // 100 + 1}
        )
    if sum(counted[thing] for thing in old) > MOST_PAIRS:
        yield "other", head, head + len(old), head, head + len(new)
        return
    for tag, first, last, start, end in SequenceMatcher(
        None, old, new, autojunk=rare_only
    ).get_opcodes():
        kind: Literal["equal", "other"] = "equal" if tag == "equal" else "other"
        yield kind, head + first, head + last, head + start, head + end
