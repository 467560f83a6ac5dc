"""Where do two texts differ from the one that both began as?

The cutting into stretches follows S. Khanna, K. Kunal and B. C. Pierce, "A Formal Investigation of
Diff3" (FSTTCS 2007), section 2: a stretch is unchanged where both copies match the original, and
changed between two such stretches.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from procedures.writeup.lined_up import line_up

MOST_LINES = 4_000  # of one text; above, comparing line by line could take long
AROUND = 2  # unchanged lines that are shown before and after a change


@dataclass(frozen=True, slots=True)
class Stretch:
    """Lines that stand beside each other. `kind` is same, theirs, mine (who changed it), alike
    (both, the same way) or both.
    """

    kind: str
    opened: tuple[str, ...]
    theirs: tuple[str, ...]
    mine: tuple[str, ...]


def stretches(opened: str, theirs: str, mine: str) -> tuple[Stretch, ...]:
    """The three texts cut into stretches; put together again, each gives its whole text. Too long
    ones give one stretch.
    """
    base, left, right = opened.split("\n"), theirs.split("\n"), mine.split("\n")
    if max(len(base), len(left), len(right)) > MOST_LINES:
        return (_stretch(base, left, right),)
    to_left, to_right = _places(base, left), _places(base, right)
    found: list[Stretch] = []
    at = at_left = at_right = 0
    for index in range(len(base)):
        there, here = to_left.get(index), to_right.get(index)
        if there is None or here is None:
            continue
        if (index, there, here) != (at, at_left, at_right):
            found.append(_stretch(base[at:index], left[at_left:there], right[at_right:here]))
        if found and found[-1].kind == "same":
            line = (base[index],)
            before = found.pop()
            found.append(
                Stretch("same", before.opened + line, before.theirs + line, before.mine + line)
            )
        else:
            found.append(Stretch("same", (base[index],), (base[index],), (base[index],)))
        at, at_left, at_right = index + 1, there + 1, here + 1
    if at < len(base) or at_left < len(left) or at_right < len(right):
        found.append(_stretch(base[at:], left[at_left:], right[at_right:]))
    return tuple(found)


def _places(base: Sequence[str], other: Sequence[str]) -> dict[int, int]:
    """For each line of `base` that stands in `other` too, where."""
    return {
        first + step: start + step
        for kind, first, end, start, _ in line_up(base, other, rare_only=True)
        if kind == "equal"
        for step in range(end - first)
    }


def _stretch(opened: Sequence[str], theirs: Sequence[str], mine: Sequence[str]) -> Stretch:
    if theirs == mine:
        kind = "same" if opened == theirs else "alike"
    elif opened == mine:
        kind = "theirs"
    else:
        kind = "mine" if opened == theirs else "both"
    return Stretch(kind, tuple(opened), tuple(theirs), tuple(mine))
