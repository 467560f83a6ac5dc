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
    taken: dict[int, float] = {}
    if short >= shortest and is_quick(work, shape, short, length, taken):
        return ""
    doubted = False
    while short <= length or doubted:
        doubted = False
        if short >= shortest:
            before, after = measure_both(work, shape, short, taken)
            doubted = after > max(FLOOR, MOST * before)
            if doubted and after > sure:
                return f"{short} letters took {before:.4f} s, four times as many {after:.4f} s"
        short *= 4
    return ""


def is_quick(
    work: Callable[[str], object],
    shape: Callable[[int], str],
    short: int,
    length: int,
    taken: dict[int, float],
) -> bool:
    """Whether even the longest text that is asked for takes too little to be judged, and so the
    shorter ones too. It is tried at once where the shortest takes that little: a cube does not.
    """
    longest = short
    while longest <= length:
        longest *= 4
    return all(once(work, shape, letters, taken) < FLOOR for letters in (4 * short, longest))


def once(
    work: Callable[[str], object],
    shape: Callable[[int], str],
    letters: int,
    taken: dict[int, float],
) -> float:
    """Seconds for so many letters, measured where they are not known yet."""
    if letters not in taken:
        taken[letters] = seconds(work, shape(letters))
    return taken[letters]


def measure_both(
    work: Callable[[str], object], shape: Callable[[int], str], short: int, taken: dict[int, float]
) -> tuple[float, float]:
    """Seconds for a length and for four times that length: of what looks too slow the best of
    three.
    """
    after = once(work, shape, 4 * short, taken)
    if after < FLOOR:
        return after, after
    before = once(work, shape, short, taken)
    if after > SUSPECT * before:
        before = min(before, *(seconds(work, shape(short)) for _ in range(2)))
    if after > MOST * before:
        after = min(after, *(seconds(work, shape(4 * short)) for _ in range(2)))
    taken |= {short: before, 4 * short: after}
    return before, after


def of(unit: str, lead: str = "", end: str = "") -> Callable[[int], str]:
    """Texts of any length that repeat one unit between a beginning and an end."""
    return lambda length: lead + unit * (length // len(unit) + 1) + end
