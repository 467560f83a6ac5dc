"""How many times as long as the least that could do is ours, measured so that a busy machine is not
believed?

Floor and ours take turns within one run (A B A B …). What counts is the ratio of each round;
seconds do not travel from one machine to another. Processor time that other programs took during a
round is printed beside it, and a round in which that was more than a tenth of a core is not
counted, unless no round was quieter.

`BENCH_ROUNDS` says how many rounds are taken; `BENCH_ROWS` names a file to which each result is
added as a line, for the table of `python -m tests.bench.ratios`.
"""

import json
import os
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

MOST_FOREIGN = 0.1
MOST_SPREAD = 0.15
LEAST_WORK = 0.1
ROUNDS = int(os.environ.get("BENCH_ROUNDS", "7"))
Work = Callable[[], object]
_databases: set[str] = set()


@dataclass(frozen=True, slots=True)
class Round:
    """One round: seconds of the floor and of ours, the share of a core that other programs took,
    and the seconds of processor time that floor and ours took themselves.
    """

    floor: float
    ours: float
    foreign: float
    work: tuple[float, float]

    @property
    def ratio(self) -> float:
        return self.ours / self.floor


@dataclass(frozen=True, slots=True)
class Measured:
    """All rounds of one comparison; a goal of 0 is none."""

    name: str
    goal: float
    taken: tuple[Round, ...]

    @property
    def told(self) -> tuple[Round, ...]:
        """The rounds that count: the quiet ones, or all where none was quiet."""
        quiet = tuple(one for one in self.taken if one.foreign <= MOST_FOREIGN)
        return quiet or self.taken

    @property
    def ratio(self) -> float:
        return statistics.median(one.ratio for one in self.told)

    @property
    def lowest(self) -> float:
        return min(one.ratio for one in self.told)

    @property
    def highest(self) -> float:
        return max(one.ratio for one in self.told)

    @property
    def worked(self) -> str:
        """The ratio of processor time over all rounds, which a busy machine disturbs less; empty
        where the floor took too little to be told in hundredths of a second.
        """
        floor, ours = (sum(one.work[place] for one in self.taken) for place in (0, 1))
        return f"{ours / floor:.2f} ×" if floor >= LEAST_WORK else ""

    @property
    def milliseconds(self) -> tuple[float, float]:
        """Floor and ours."""
        floor = statistics.median(one.floor for one in self.told)
        return 1000 * floor, 1000 * statistics.median(one.ours for one in self.told)

    @property
    def warning(self) -> str:
        """Why these numbers are not to be relied on; empty where they are."""
        floors = [one.floor for one in self.told]
        if self.told[0].foreign > MOST_FOREIGN:
            return "no round was quiet"
        if (max(floors) - min(floors)) / statistics.median(floors) > MOST_SPREAD:
            return "the floor was not steady"
        return ""

    @property
    def is_met(self) -> bool:
        """Whether even the kindest round was within the goal."""
        return not self.goal or self.lowest <= self.goal


def measure(name: str, floor: Work, ours: Work, goal: float = 0, rounds: int = ROUNDS) -> Measured:
    """The ratio of ours to the floor, in so many rounds."""
    floor(), ours()  # what is only done once is not measured
    return Measured(name, goal, tuple(_round(floor, ours) for _ in range(rounds)))


def compare(name: str, floor: Work, ours: Work, goal: float = 0, rounds: int = ROUNDS) -> bool:
    """Print the ratio of ours to the floor; False comes back when even the kindest round was above
    the goal.
    """
    return tell(measure(name, floor, ours, goal, rounds))


def tell(found: Measured) -> bool:
    """Print a result, and add it to the rows of the table; False where its goal is not met."""
    floor, ours = found.milliseconds
    print(
        f"{found.name}: {found.ratio:.2f} × the floor (lowest {found.lowest:.2f}, "
        f"highest {found.highest:.2f}; goal {found.goal or 'none'}); "
        f"floor {floor:.1f} ms, ours {ours:.1f} ms"
    )
    shares = ", ".join(f"{one.foreign:.2f}" for one in found.taken)
    print(
        f"    {len(found.told)} of {len(found.taken)} rounds counted; other programs took "
        f"{shares} of a core; by processor time {found.worked or 'too little to tell'}"
    )
    if found.warning:
        print(f"    Do not rely on these numbers: {found.warning}.")
    add_row(
        found.name,
        f"{found.goal:g} ×" if found.goal else "none",
        f"{found.ratio:.2f} × ({found.lowest:.2f}–{found.highest:.2f})",
        found.worked,
        f"{floor:.1f} and {ours:.1f} ms",
        found.warning or f"{len(found.told)} of {len(found.taken)} rounds quiet",
    )
    return found.is_met


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the table, as texts."""

    name: str
    goal: str
    reached: str
    worked: str
    times: str
    note: str


def add_row(
    name: str, goal: str, reached: str, worked: str = "", times: str = "", note: str = ""
) -> None:
    """Add a line to the table, where one is being made."""
    if path := os.environ.get("BENCH_ROWS"):
        with open(path, "a", encoding="utf-8") as file:
            file.write(json.dumps(asdict(Line(name, goal, reached, worked, times, note))) + "\n")


def count_database(name: str) -> None:
    """From now on the servers of this database count as ours, not as other programs."""
    _databases.add(name)


def _round(floor: Work, ours: Work) -> Round:
    foreign = whole = 0.0
    times, worked = [], []
    for work in (floor, ours):
        began, busy, own = time.perf_counter(), _busy(), _own()
        times.append(_seconds(work))
        worked.append(_own() - own)
        foreign += max(0.0, _busy() - busy - worked[-1])
        whole += time.perf_counter() - began
    return Round(*times, foreign / whole, (worked[0], worked[1]))


def _seconds(work: Work) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _own() -> float:
    """Seconds of processor time of this process, of those that it started, and of the servers of
    the databases that are counted.
    """
    return sum(os.times()[:4]) + sum(_seconds_of_others()) / os.sysconf("SC_CLK_TCK")


def _seconds_of_others() -> Iterator[int]:
    """Ticks of each process that lives below this one, or serves a database of ours."""
    parents, ticks = {}, {}
    for path in Path("/proc").glob("[0-9]*"):
        try:
            # the name in brackets may hold anything, blanks and brackets too
            _, _, rest = (path / "stat").read_text(encoding="ascii").rpartition(") ")
            fields = rest.split()
            number = int(path.name)
            parents[number] = int(fields[1])
            ticks[number] = sum(map(int, fields[11:15]))
            if _databases and _serves(path):
                parents[number] = os.getpid()
        except (OSError, ValueError):  # it has ended meanwhile
            continue
    for number, taken in ticks.items():
        above = parents[number]
        while above not in {0, 1, os.getpid()}:
            above = parents.get(above, 0)
        if above == os.getpid():
            yield taken


def _serves(path: Path) -> bool:
    words = (path / "cmdline").read_bytes().decode("utf-8", "replace").split()
    return words[:1] == ["postgres:"] and not _databases.isdisjoint(words)


def _busy() -> float:
    """Seconds of processor time that all programs have taken; 0 where the system does not say."""
    try:
        with open("/proc/stat", encoding="ascii") as file:
            user, nice, system, _idle, _waiting, *more = map(int, file.readline().split()[1:])
    except FileNotFoundError:
        return 0.0
    return (user + nice + system + sum(more[:2])) / os.sysconf("SC_CLK_TCK")
