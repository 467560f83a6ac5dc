"""How far do observers agree who judged the same units, beyond what chance would bring?

A table is one row a unit, one cell an observer; None = not judged. Everything undefined is None:
where all judgements are the same there is nothing to agree about beyond chance.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Value: TypeAlias = float | str
Units: TypeAlias = Sequence[Sequence[Value | None]]
Weights: TypeAlias = Sequence[Sequence[float]]
Metric: TypeAlias = "Callable[[Floats, Floats], Floats]"


@dataclass(frozen=True, slots=True)
class Kappa:
    """Raw agreement, what chance would bring, kappa, and its standard error."""

    observed: float
    expected: float
    kappa: float | None
    se: float | None


def cross_tabulate(units: Units) -> tuple[tuple[Value, ...], list[list[int]]]:
    """The values in order, and how often the first observer said this where the second said
    that.
    """
    both = [(row[0], row[1]) for row in units if row[0] is not None and row[1] is not None]
    # Sorted, so that the weights of an ordered scale stand at the right places.
    values = sort_values({value for pair in both for value in pair})
    place = {value: at for at, value in enumerate(values)}
    table = [[0] * len(values) for _ in values]
    for first, second in both:
        table[place[first]][place[second]] += 1
    return values, table


def sort_values(values: set[Value]) -> tuple[Value, ...]:
    """Numbers by size, words by the alphabet."""
    return tuple(sorted(values, key=lambda value: (isinstance(value, str), value)))


def kappa(table: Sequence[Sequence[float]], weights: Weights | None = None) -> Kappa:
    """Cohen's kappa of a square table (counts, rows first observer); weighted where `weights` say
    how bad each disagreement is.

    Cohen (Educ. Psychol. Meas. 20, 1960; Psychol. Bull. 70, 1968); standard errors by Fleiss, Cohen
    and Everitt (Psychol. Bull. 72, 1969). Raises ValueError for an empty table.
    """
    import numpy as np

    counts = np.asarray(table, dtype=float)
    people = counts.sum()
    if not people:
        message = "Nobody was judged by both."
        raise ValueError(message)
    share = counts / people
    bad = 1 - np.eye(len(share)) if weights is None else np.asarray(weights, dtype=float)
    agree = 1 - bad / bad.max() if bad.any() else np.ones_like(bad)
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    chance = np.outer(rows, columns)
    observed, expected = float((agree * share).sum()), float((agree * chance).sum())
    # All said one thing: kappa would be 0/0, of which rounding makes any number.
    if np.isclose(expected, 1, rtol=0, atol=1e-14):
        return Kappa(observed, expected, None, None)
    found = (observed - expected) / (1 - expected)
    means = (agree @ columns)[:, None] + (rows @ agree)[None, :]
    spread = (share * (agree - means * (1 - found)) ** 2).sum() - (
        found - expected * (1 - found)
    ) ** 2
    # Rounding can leave a hair below 0 where the spread is none.
    error = sqrt(max(float(spread), 0.0) / people) / (1 - expected)
    return Kappa(observed, expected, found, error)


def ac1(table: Sequence[Sequence[float]]) -> float | None:
    """Gwet's AC1 (Br. J. Math. Stat. Psychol. 61, 2008), which lop-sided tables do not upset; None
    for an empty table.
    """
    people, many = sum(map(sum, table)), len(table)
    if not people:
        return None
    observed = sum(table[place][place] for place in range(many)) / people
    middle = [
        (sum(table[place]) + sum(row[place] for row in table)) / (2 * people)
        for place in range(many)
    ]
    # Chance agreement after Gwet: highest at even shares, where kappa's grows with lop-sided ones.
    expected = sum(share * (1 - share) for share in middle) / (many - 1) if many > 1 else 0.0
    return (observed - expected) / (1 - expected)


def nominal(values: Floats, counts: Floats) -> Floats:
    """Any two different values are as far apart."""
    import numpy as np

    return 1 - np.eye(len(values))


def ordinal(values: Floats, counts: Floats) -> Floats:
    """Values are as far apart as there are judgements between them."""
    import numpy as np

    middle = np.cumsum(counts) - counts / 2
    found: Floats = (middle[:, None] - middle) ** 2
    return found


def interval(values: Floats, counts: Floats) -> Floats:
    """Values are as far apart as their numbers."""
    found: Floats = (values[:, None] - values) ** 2
    return found


def count_pairable(units: Units) -> int:
    """How many judgements stand in a unit with another one; the others tell nothing of
    agreement.
    """
    return sum(len(said) for said in _said(units))


def alpha(units: Units, metric: Metric) -> float | None:
    """Krippendorff's alpha with missing values (Computing Krippendorff's Alpha-Reliability,
    2011).
    """
    table, values = _judged(units)
    return _alpha(table, values, metric)


def alpha_interval(
    units: Units, metric: Metric, *, seed: int, times: int = 1000, confidence: float = 0.95
) -> tuple[float, float] | None:
    """Between which bounds alpha lies when units are drawn again and again with replacement
    (bootstrap, percentiles).
    """
    import numpy as np

    table, values = _judged(units)
    # Seeded by the caller: the same table gives the same bounds on every page.
    chance = np.random.default_rng(seed)
    tries = (
        _alpha(table[chance.integers(len(table), size=len(table))], values, metric)
        for _ in range(times if len(table) else 0)
    )
    found = [one for one in tries if one is not None]
    if not found:
        return None
    low, high = np.quantile(found, [(1 - confidence) / 2, (1 + confidence) / 2])
    return float(low), float(high)


def _said(units: Units) -> list[list[Value]]:
    """What was said of each unit, without units of which fewer than two said something."""
    said = [[value for value in row if value is not None] for row in units]
    return [values for values in said if len(values) > 1]


def _judged(units: Units) -> tuple[Floats, Floats]:
    """[unit, value]: how many said so; and the values as numbers (words by their place)."""
    import numpy as np

    said = _said(units)
    values = sort_values({value for row in said for value in row})
    place = {value: at for at, value in enumerate(values)}
    table = np.zeros((len(said), len(values)))
    for unit, row in enumerate(said):
        for value in row:
            table[unit, place[value]] += 1
    return table, np.array(
        [at if isinstance(value, str) else value for at, value in enumerate(values)], dtype=float
    )


def _alpha(table: Floats, values: Floats, metric: Metric) -> float | None:
    import numpy as np

    if not len(table):
        return None
    # Each judgement pairs with all others of its unit, so a unit weighs by its judgements.
    by_unit = 1 / (table.sum(axis=1) - 1)
    together = (table * by_unit[:, None]).T @ table
    together[np.diag_indices(len(values))] -= by_unit @ table
    counts = table.sum(axis=0)
    apart = metric(values, counts)
    expected = float(counts @ apart @ counts)
    if not expected:
        return None
    # n − 1: a judgement is not compared with itself, as the data are a sample.
    return 1 - (float(counts.sum()) - 1) * float((together * apart).sum()) / expected
