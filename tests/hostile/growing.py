"""Does the time of a piece of work grow with its input, or with the square of it?

Only ratios within one run are judged, never seconds: an input four times as long may take eight
times as long at most.
"""

import time
from collections.abc import Callable
from contextlib import suppress

FLOOR = 0.001
"""Seconds of this thread's own work: less than that is not judged, since a clock cannot measure it
well.
"""

SURE = 0.2
"""Seconds: what takes less and looks too slow is tried on a text four times as long again. A clock
that slipped is forgotten there; the square of a length is not.
"""

MOST = 8
# what grows with the text takes four times as long: above this it is measured again before it is
# judged
SUSPECT = 5


def seconds(work: Callable[[str], object], text: str) -> float:
    """How long the work takes once, whatever else the machine does; what it refuses counts as
    done.
    """
    begun = time.thread_time()
    with suppress(Exception):
        work(text)
    return time.thread_time() - begun


def too_fast_growing(
    work: Callable[[str], object],
    shape: Callable[[int], str],
    length: int,
    *,
    shortest: int = 0,
    sure: float = SURE,
) -> str:
    """What was measured, where the work on four times the length takes more than eight times as
    long; else nothing.

    Shorter lengths come first, so that a cube is found before it takes an hour; of what looks too
    slow the best of three counts, on each side. Below `shortest` nothing is asked: a reader may
    look so far ahead, and no further. What takes less than `sure` is followed up before it counts.
    """
    short = max(length // 16, 1)
    doubted, known = False, None
    while short <= length or doubted:
        doubted = False
        if short >= shortest:
            before, after = measure_both(work, shape, short, known)
            doubted = after > max(FLOOR, MOST * before)
            if doubted and after > sure:
                return f"{short} letters took {before:.4f} s, four times as many {after:.4f} s"
            known = after
        short *= 4
    return ""


def measure_both(
    work: Callable[[str], object],
    shape: Callable[[int], str],
    short: int,
    known: float | None = None,
) -> tuple[float, float]:
    """Seconds for a length, where they are not known yet, and for four times that length: of what
    looks too slow the best of three.
    """
    after = seconds(work, shape(4 * short))
    if after < FLOOR:
        return after, after
    before = seconds(work, shape(short)) if known is None else known
    if after > SUSPECT * before:
        before = min(before, *(seconds(work, shape(short)) for _ in range(2)))
    if after > MOST * before:
        after = min(after, *(seconds(work, shape(4 * short)) for _ in range(2)))
    return before, after


def of(unit: str, lead: str = "", end: str = "") -> Callable[[int], str]:
    """Texts of any length that repeat one unit between a beginning and an end."""
    return lambda length: lead + unit * (length // len(unit) + 1) + end
