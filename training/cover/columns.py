"""How is a mixed-integer programme put together, and solved?

HiGHS, through `scipy.optimize.milp`: columns with a cost, rows that bind them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

INF = float("inf")
# Somebody waits before a page; beyond it the best plan found is shown, as not proven.
SECONDS = 15.0  # the longest time for one answer
ColumnNumber = int


class NoAnswerError(Exception):
    """The programme was not solved in the time that it had."""


class Columns:
    """The columns and rows of a programme in the making."""

    def __init__(self) -> None:
        self.cost: list[float] = []
        self.upper: list[float] = []
        self.whole: list[int] = []
        self.rows: list[tuple[dict[ColumnNumber, float], float, float]] = []

    def column(self, cost: float, upper: float, whole: int) -> ColumnNumber:
        """Add a column from 0 to its upper bound."""
        self.cost.append(cost)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, terms: Mapping[ColumnNumber, float], low: float, high: float) -> None:
        """Add a row; one without terms asks nothing."""
        if terms:
            self.rows.append((dict(terms), low, high))

    def at_most(self, one: ColumnNumber, others: Mapping[ColumnNumber, float]) -> None:
        """One column is at most the sum of others."""
        self.row({one: 1.0, **{column: -value for column, value in others.items()}}, -INF, 0)

    def solved(self, fixed: Mapping[ColumnNumber, float] | None = None) -> Any:
        """The answer of the solver, with the value of some columns given. Raises NoAnswerError."""
        # Here and not above: scipy is slow to load, and most pages of the site never plan.
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        where = [
            (number, column, value)
            for number, (terms, _, _) in enumerate(self.rows)
            for column, value in terms.items()
        ]
        numbers, columns, values = zip(*where, strict=True)
        matrix: Any = csr_array(
            (values, (numbers, columns)), shape=(len(self.rows), len(self.cost))
        )
        found = milp(
            self.cost,
            integrality=self.whole,
            bounds=Bounds(
                [(fixed or {}).get(column, 0.0) for column in range(len(self.cost))],
                [(fixed or {}).get(column, most) for column, most in enumerate(self.upper)],
            ),
            constraints=LinearConstraint(
                matrix, [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
            ),
            # No gap is left: a plan that is called proven must be the best one, not nearly.
            options={"time_limit": SECONDS, "mip_rel_gap": 0},
        )
        # Not by its status: out of time, an answer may be there and is better than none.
        if found.x is None:
            raise NoAnswerError(f"No plan was found in {SECONDS:.0f} seconds.")
        return found
