"""Between which bounds does Cohen's kappa lie, so that none is beyond -1 or 1?

The profile likelihood (S. S. Wilks, Ann. Math. Stat. 9, 1938): a kappa lies within the bounds where
some table of shares that has it is not so unlikely that chi-squared with one degree of freedom
would speak against it. Shares are never below 0, so such a kappa is always one that can be; the
large-sample interval, so many standard errors to both sides, ends above 1 for short tables and says
“1 to 1” where observers always agreed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NOTHING = 1e-12  # so small a share stands for none: its logarithm must be a number
# How much of a start is spread over the table: the way to the bound is not the same from each.
STARTS = (0.02, 0.2, 0.6)


def kappa_interval(
    table: Sequence[Sequence[float]], confidence: float = 0.95
) -> tuple[float, float] | None:
    """The bounds of kappa for a square table of counts (rows first observer); None where kappa is
    not defined: nobody judged, or both said one thing only.
    """
    import numpy as np
    from scipy.stats import chi2

    counts = np.asarray(table, dtype=float)
    people = counts.sum() if counts.size else 0.0
    if not people or (counts.max() == people and np.diag(counts).max() == people):
        return None
    drop = float(chi2.ppf(confidence, 1)) / 2
    seen = counts.ravel() / people
    found = _kappa(seen)
    low, high = (_bound(counts, seen, drop, sign) for sign in (1, -1))
    # The search stops a hair beside its end; the table itself is always within.
    return max(-1.0, min(low, found)), min(1.0, max(high, found))


def _bound(counts: Floats, seen: Floats, drop: float, sign: int) -> float:
    """The least (sign 1) or greatest (sign -1) kappa of all tables of shares near enough."""
    import numpy as np
    from scipy.optimize import minimize

    many, size = counts.ravel(), len(counts)
    told = many > 0
    # Where a search for less agreement begins: everything beside the diagonal, else on it.
    ahead = 1 - np.eye(size) if sign > 0 else np.eye(size)
    ahead = ahead.ravel() / ahead.sum()

    def room(shares: Floats) -> float:
        return drop - float((many[told] * np.log(seen[told] / shares[told])).sum())

    def room_slope(shares: Floats) -> Floats:
        slope = np.zeros_like(shares)
        slope[told] = many[told] / shares[told]
        return slope

    limits = (
        {"type": "eq", "fun": lambda shares: shares.sum() - 1, "jac": np.ones_like},
        {"type": "ineq", "fun": room, "jac": room_slope},
    )
    best = sign * _kappa(seen)
    for part in STARTS:
        start = np.clip((1 - part) * seen + part * ahead, NOTHING, 1)
        got = minimize(
            lambda shares: sign * _kappa(shares),
            start / start.sum(),
            jac=lambda shares: sign * _slope(shares),
            bounds=[(NOTHING, 1)] * len(seen),
            constraints=limits,
            method="SLSQP",
            options={"maxiter": 200, "ftol": 1e-10},
        )
        # What is a little outside of the room is no answer.
        if room(got.x) > -1e-5 and abs(got.x.sum() - 1) < 1e-7:
            best = min(best, float(got.fun))
    return sign * best


def _parts(shares: Floats) -> tuple[float, float, Floats, Floats]:
    """Agreement seen, agreement by chance, and what each observer said how often."""
    import numpy as np

    size = round(len(shares) ** 0.5)
    square = shares.reshape(size, size)
    rows, columns = square.sum(axis=1), square.sum(axis=0)
    return float(np.trace(square)), float(rows @ columns), rows, columns


def _kappa(shares: Floats) -> float:
    agreed, chance, _, _ = _parts(shares)
    return (agreed - chance) / (1 - chance)


def _slope(shares: Floats) -> Floats:
    """How kappa changes with each share."""
    import numpy as np

    agreed, chance, rows, columns = _parts(shares)
    both = columns[:, None] + rows[None, :]
    found: Floats = (
        (np.eye(len(rows)) * (1 - chance) - both * (1 - agreed)) / (1 - chance) ** 2
    ).ravel()
    return found
