"""How many times as long as the least that could do is ours, measured so that a busy machine is not
believed?

Floor and ours take turns within one run (A B A B …). What counts is the ratio of each round;
seconds do not travel from one machine to another. Processor time that other programs took during a
round is printed beside it, and a round in which that was more than a tenth of a core is not
counted, unless no round was quieter.
"""

import os
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

MOST_FOREIGN = 0.1
MOST_SPREAD = 0.15
ROUNDS = 7


@dataclass(frozen=True, slots=True)
class Round:
    """One round: seconds of the floor and of ours, and the share of a core that other programs
    took.
    """

    floor: float
    ours: float
    foreign: float

    @property
    def ratio(self) -> float:
        return self.ours / self.floor


def compare(
    name: str,
    floor: Callable[[], object],
    ours: Callable[[], object],
    goal: float,
    rounds: int = ROUNDS,
) -> bool:
    """Print the ratio of ours to the floor; False comes back when even the kindest round was above
    the goal.
    """
    floor(), ours()  # what is only done once is not measured
    taken = [_round(floor, ours) for _ in range(rounds)]
    quiet = [one for one in taken if one.foreign <= MOST_FOREIGN]
    told = quiet or taken
    ratios = [one.ratio for one in told]
    floors = [one.floor for one in told]
    print(
        f"{name}: {statistics.median(ratios):.2f} × the floor (lowest {min(ratios):.2f}, "
        f"highest {max(ratios):.2f}; "
        f"goal {goal:g}); floor {1000 * statistics.median(floors):.1f} ms, "
        f"ours {1000 * statistics.median(one.ours for one in told):.1f} ms"
    )
    print(
        f"    {len(told)} of {rounds} rounds counted; other programs took {_shares(taken)} of "
        "a core"
    )
    if not quiet:
        print("    No round was quiet: do not rely on these numbers.")
    elif (max(floors) - min(floors)) / statistics.median(floors) > MOST_SPREAD:
        print("    The floor itself was not steady: do not rely on these numbers.")
    return min(ratios) <= goal


def _shares(taken: list[Round]) -> str:
    return ", ".join(f"{one.foreign:.2f}" for one in taken)


def _round(floor: Callable[[], object], ours: Callable[[], object]) -> Round:
    began, busy, own = time.perf_counter(), _busy(), _own()
    times = [_seconds(work) for work in (floor, ours)]
    whole = time.perf_counter() - began
    return Round(*times, foreign=max(0.0, (_busy() - busy) - (_own() - own)) / whole)


def _seconds(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _own() -> float:
    return sum(os.times()[:4])


def _busy() -> float:
    """Seconds of processor time that all programs have taken; 0 where the system does not say."""
    try:
        with open("/proc/stat", encoding="ascii") as file:
            user, nice, system, _idle, _waiting, *more = map(int, file.readline().split()[1:])
    except FileNotFoundError:
        return 0.0
    return (user + nice + system + sum(more[:2])) / os.sysconf("SC_CLK_TCK")
