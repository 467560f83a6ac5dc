"""How far do two observers agree who watched the same job?

The same job is the same person at the same level, by the same revision, on the same fork and day:
two seniors who stand at one bench each fill in a check sheet of their own. Every line that both
filled in is one unit.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import combinations

from django.utils.translation import gettext, ngettext

from quizzes.psychometrics.agreement import ac1, kappa
from quizzes.psychometrics.likelihood import kappa_interval
from training.models import Observation, Void

SEEN = ("unaided", "prompted", "not right")
FEW = 30  # lines; below, the interval is too wide to say anything
Table = tuple[tuple[int, ...], ...]
Both = tuple[str, str, str]
"""One line that both filled in: its step by title, as the first saw it, and as the second did."""


@dataclass(frozen=True, slots=True)
class OneSaw:
    """One observation of a job (`job` names it), who saw it, how each line was seen by its step,
    and what the steps are called.
    """

    job: str
    observer: str
    lines: Mapping[str, str]
    titles: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two observers: over how many jobs and lines, how often one said this where the other said
    that, and how far they agree.

    `kappa` is None where all lines were seen alike by both: then there is nothing to agree about
    beyond chance. `ac1` is Gwet's figure, which is not upset by that. `low` and `high` bound 95 %.
    `differs` names the steps that they saw differently, and how often; most often first.
    """

    first: str
    second: str
    jobs: int
    lines: int
    table: Table
    observed: float
    kappa: float | None
    low: float | None
    high: float | None
    ac1: float | None
    differs: tuple[tuple[str, int], ...] = ()

    @property
    def rows(self) -> tuple[tuple[str, tuple[int, ...]], ...]:
        """The table by rows: how the first observer saw a line, and how often the second saw it in
        each way.
        """
        return tuple(zip(SEEN, self.table, strict=True))

    @property
    def same(self) -> int:
        """The lines on which both said the same."""
        return sum(self.table[at][at] for at in range(len(SEEN)))

    @property
    def observed_percent(self) -> int:
        """The lines on which both said the same, in whole per cents, rounded down."""
        return 100 * self.same // self.lines

    @property
    def told(self) -> tuple[str, ...]:
        """The steps that they saw differently, those seen so again and again with how often."""
        again = gettext("{step} ({times} times)")
        return tuple(
            again.format(step=step, times=times) if times > 1 else step
            for step, times in self.differs
        )

    @property
    def differing(self) -> int:
        """The lines that they saw differently."""
        return self.lines - self.same

    @property
    def are_few(self) -> bool:
        """Whether there are too few lines to say anything."""
        return self.lines < FEW


def pairs_of(observations: Iterable[OneSaw]) -> tuple[Pair, ...]:
    """Every pair of observers who watched at least one job together, by name. Of two sheets of one
    observer on a job the later one counts.
    """
    jobs: dict[str, dict[str, Mapping[str, str]]] = defaultdict(dict)
    titles: dict[str, str] = {}
    for row in observations:
        # Rows come by instant, so the later sheet of one observer writes over the earlier.
        jobs[row.job][row.observer] = row.lines
        titles |= row.titles
    together: dict[tuple[str, str], list[list[Both]]] = defaultdict(list)
    for sheets in jobs.values():
        for first, second in combinations(sorted(sheets), 2):
            both = [
                (titles.get(step, step), sheets[first][step], sheets[second][step])
                for step in sheets[first]
                if step in sheets[second]
            ]
            if both:
                together[first, second].append(both)
    return tuple(_pair(first, second, found) for (first, second), found in sorted(together.items()))


def say_conclusion(pairs: Sequence[Pair]) -> str:
    """What the pairs come to: how many have something to talk about."""
    apart = sum(1 for pair in pairs if pair.differing)
    if apart:
        return ngettext(
            "{count} pair of observers saw some lines differently",
            "{count} pairs of observers saw some lines differently",
            apart,
        ).format(count=apart)
    lines = sum(pair.lines for pair in pairs)
    if lines < FEW:
        told = gettext("Too few lines to say: {lines} of {few}")
        return told.format(lines=lines, few=FEW)
    return gettext("All observers saw the same on every line")


def agreement_page() -> tuple[Pair, ...]:
    """The pairs of this shop; what was declared void is left out."""
    voids: dict[tuple[object, ...], list[datetime]] = defaultdict(list)
    for void in Void.objects.filter(kind=Observation.KIND):
        voids[void.person_id, void.about, void.happened_on].append(void.recorded_at)
    rows = Observation.objects.select_related("observer", "level").order_by("recorded_at", "pk")
    return pairs_of(
        OneSaw(
            _job(row),
            row.observer.name,
            {str(line["step"]): str(line["seen"]) for line in row.lines},
            {str(line["step"]): str(line["title"]) for line in row.lines},
        )
        for row in rows.iterator(chunk_size=1000)
        if not any(
            # A void names a kind, person and day, and all that was on record by then.
            row.recorded_at <= at
            for at in voids.get((row.person_id, row.level.name, row.happened_on), ())
        )
    )


def _job(row: Observation) -> str:
    return json.dumps(
        [row.person_id, row.level_id, row.revision_id, row.happened_on.isoformat(), row.variant],
        sort_keys=True,
    )


def _pair(first: str, second: str, jobs: Sequence[Sequence[Both]]) -> Pair:
    lines = [(one, other) for job in jobs for _, one, other in job]
    differ = Counter(step for job in jobs for step, one, other in job if one != other)
    table = tuple(
        tuple(sum(1 for line in lines if line == (one, other)) for other in SEEN) for one in SEEN
    )
    found = kappa(table)
    low, high = kappa_interval(table) or (None, None)
    return Pair(
        first,
        second,
        len(jobs),
        len(lines),
        table,
        found.observed,
        found.kappa,
        low,
        high,
        ac1(table),
        tuple(sorted(differ.items(), key=lambda item: (-item[1], item[0]))),
    )
