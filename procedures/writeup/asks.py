"""What does one change ask, at least, of people who are signed off: nothing, read again, answer
again, show again?

The rule, by what a change touches (the design's four words; the lines between them are the shop's
own judgement, common practice, no source):

- **nothing**: words only. Titles and running text, a field written otherwise (other case, 28 Nm for
  28 N·m), tools in another order.
- **read again**: a caution was reworded; a word that can turn the sense round (not, only, before,
  left, clockwise) came or went; a tool, a hold point, the level or the write-up before this one
  changed; a step is no longer critical; and words only, but in a critical step, because a program
  can't vouch that they still mean the same.
- **answer again**: a value, a part or a fact changed; a figure, a unit or a word that counts (half,
  twice) in any text; `only if` and the variants; what comes before what; a check; a step came, went
  or moved; a caution came or went, or has another signal word.
- **show again**: any of these in a step that is critical before or after, that became critical or
  went as a critical one, or that changed its place with a critical one; also another way to avoid
  the hazard there. What would be read again elsewhere is shown again here, but for the words of a
  caution that change neither its signal word nor the way to avoid it, and for a reworded reason.
"""

from collections.abc import Iterable
from typing import Literal, cast

from procedures.writeup.grammar import ASKS
from procedures.writeup.remarks import Remark, remark
from procedures.writeup.word_diff import turning_words, values_in

Asks = Literal["nothing", "read again", "answer again", "show again"]

NOTHING: Asks = "nothing"
READ: Asks = "read again"
ANSWER: Asks = "answer again"
SHOW: Asks = "show again"

_OF_MEANING: dict[str, tuple[Asks, Remark]] = {
    "condition": (ANSWER, remark("for-other-forks")),
    "names": (ANSWER, remark("name-changed")),
    "order": (ANSWER, remark("order-changed")),
    "value": (ANSWER, remark("value-changed")),
    "check": (ANSWER, remark("check-changed")),
    "signal": (ANSWER, remark("signal-changed")),
    "tool": (READ, remark("tool-changed")),
    "hold": (READ, remark("hold-changed")),
}
_SAFETY = frozenset({"message", "avoid"})


def rank(asks: str) -> int:
    """The place of what is asked: 0 for nothing, 3 for show again. Raises ValueError for another
    word.
    """
    return ASKS.index(asks)


def pick_highest(asked: Iterable[str]) -> Asks:
    """The most that any of these asks; nothing without any."""
    return cast("Asks", ASKS[max(map(rank, asked), default=0)])


def judge_change(
    kind: str, old: str, new: str, *, same_meaning: bool, critical: bool
) -> tuple[Asks, Remark, bool]:
    """What the change of one field asks, why, and whether it is in the wording only."""
    asks, why = _plainly(kind, old, new, same_meaning=same_meaning)
    if asks == NOTHING:
        return (
            (READ, remark("critical-words-changed"), True)
            if critical
            else (NOTHING, remark("wording-only"), True)
        )
    if critical and not (kind == "message" and asks == READ) and kind != "critical":
        return SHOW, remark("in-a-critical-step", because=why), False
    return asks, why, False


def _plainly(kind: str, old: str, new: str, *, same_meaning: bool) -> tuple[Asks, Remark]:
    """What the change would ask in a step that is not critical."""
    if kind == "critical":
        return _critical(old, new)
    if not same_meaning:
        return _OF_MEANING[kind]
    if kind in _OF_MEANING:
        return NOTHING, remark("wording-only")
    # Before the kind of text: a figure in a title or a caution is worked by as one in a field is.
    if values_in(old) != values_in(new):
        return ANSWER, remark("figure-changed")
    if kind in _SAFETY:
        return READ, remark("avoidance-changed") if kind == "avoid" else remark("caution-changed")
    if turning_words(old) != turning_words(new):
        return READ, remark("turning-word-changed")
    return NOTHING, remark("wording-only")


def _critical(old: str, new: str) -> tuple[Asks, Remark]:
    if not old:
        return SHOW, remark("became-critical")
    return READ, remark("criticality-reworded") if new else remark("no-longer-critical")
