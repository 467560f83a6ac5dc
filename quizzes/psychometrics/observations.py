"""Which judgements does a table of observers hold, or where can't it be read?

One row a unit (a job, a step of one), one column an observer; the first column may be named `unit`.
Empty cells, “-” and “NA” were not judged.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from procedures.writeup.remarks import remark
from quizzes.psychometrics.agreement import Value
from quizzes.psychometrics.answers import BadTable, read_grid

NOT_JUDGED = {"", "-", "NA"}


@dataclass(frozen=True, slots=True)
class Observations:
    """What each observer said of each unit; None = not judged. `are_numbers` where every judgement
    is a number.
    """

    observers: tuple[str, ...]
    units: tuple[tuple[Value | None, ...], ...]
    are_numbers: bool


def read_observations(text: str) -> Observations:
    """The judgements in a text. Raises BadTable."""
    grid = read_grid(text, "unit")
    if len(grid.columns) < 2:
        raise BadTable(remark("one-observer"))
    words = [[None if cell in NOT_JUDGED else cell for cell in row] for row in grid.rows]
    numbers = {word: _number(word) for row in words for word in row if word is not None}
    are_numbers = all(number is not None for number in numbers.values())
    units = tuple(
        tuple(word if word is None or not are_numbers else numbers[word] for word in row)
        for row in words
    )
    return Observations(grid.columns, units, are_numbers)


def _number(word: str) -> float | None:
    try:
        number = float(word)
    except ValueError:
        return None
    # float() also reads “inf” and “nan”, of which no distance can be taken.
    return number if isfinite(number) else None
