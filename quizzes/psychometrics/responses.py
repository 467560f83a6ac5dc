"""How often was each option of each item chosen by people of each total score?

This count is enough for every figure of `items`, `reliability` and `rasch`, takes one pass over the
answers, and adds up: the counts of two batches are the count of both together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quizzes.psychometrics.answers import Answers

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Codes = NDArray[np.uint8]
    Whole = NDArray[np.int64]

BLOCK = 8192  # people at a time: what a block needs then stays in the processor's cache


@dataclass(frozen=True, slots=True)
class Counts:
    """`table[item, code, score]` people. Code 0 is “not answered”, code c the option at place c −
    1; `right` holds codes.

    People who were not asked an item are not counted at it (`is_complete` is then false): the
    figures of single items stand on those who were, the figures of the whole test take everybody at
    every item.
    """

    items: tuple[str, ...]
    options: tuple[tuple[str, ...], ...]
    right: tuple[int, ...]
    table: Whole

    @property
    def is_complete(self) -> bool:
        """Whether everybody was asked every item."""
        by_score = self.table.sum(axis=1)
        return bool((by_score == by_score[0]).all())

    def by_score(self, item: int = 0) -> Whole:
        """How many of those who were asked an item have each total score; the same for every item
        of a complete table.
        """
        found: Whole = self.table[item].sum(axis=0)
        return found

    def right_by_score(self) -> Whole:
        """How many people of each score have each item right, [item, score]."""
        import numpy as np

        found: Whole = self.table[np.arange(len(self.items)), list(self.right)]
        return found

    def __add__(self, other: Counts) -> Counts:
        """The count of both batches together. Raises ValueError where they are not of the same
        items, options and key.
        """
        if (self.items, self.options, self.right) != (other.items, other.options, other.right):
            message = "Only counts of the same items with the same options and key can be added."
            raise ValueError(message)
        return Counts(self.items, self.options, self.right, self.table + other.table)


def count(answers: Answers) -> Counts:
    """The count of a table that was read."""
    import numpy as np

    codes = (
        np.asarray(answers.chosen, dtype=np.int16).reshape(len(answers.chosen), len(answers.items))
        + 1
    )
    return count_codes(
        answers.items,
        answers.options,
        [place + 1 for place in answers.right],
        codes.astype(np.uint8),
    )


def count_codes(
    items: Sequence[str], options: Sequence[Sequence[str]], right: Sequence[int], codes: Codes
) -> Counts:
    """The count of a [person, item] array of codes as `Counts` has them; `right` are codes too.

    Raises ValueError for an array of another width, or with a code that stands for nothing.
    """
    import numpy as np

    many, most = len(items), 1 + max((len(one) for one in options), default=0)
    if codes.ndim != 2 or codes.shape[1] != many or not many:
        message = f"The answers must be an array with {many} columns, at least one."
        raise ValueError(message)
    table = np.zeros((many, most * (many + 1)), dtype=np.int64)
    # One and the same memory for every block, of the narrowest numbers that hold a cell of the
    # table.
    cells = np.empty(
        (many, min(BLOCK, len(codes))), dtype=np.uint16 if table.shape[1] < 2**16 else np.int64
    )
    is_right = np.empty(cells.shape, dtype=bool)
    key = np.asarray(right, dtype=np.uint8)
    for start in range(0, len(codes), BLOCK):
        block = codes[start : start + BLOCK]
        # A code too large would be counted into the next item's cell in silence.
        if block.max(initial=0) >= most:
            message = "A code stands for no option of its item."
            raise ValueError(message)
        _add_block(table, block, key, cells[:, : len(block)], is_right[:, : len(block)])
    shaped = table.reshape(many, most, many + 1)
    if any(shaped[place, 1 + len(one) :].any() for place, one in enumerate(options)):
        message = "A code stands for no option of its item."
        raise ValueError(message)
    return Counts(tuple(items), tuple(map(tuple, options)), tuple(right), shaped)


def moments(counts: Sequence[int]) -> tuple[int, int, int]:
    """Number, sum and sum of squares of whole numbers 0, 1, 2 … of which each came up so often;
    exact.
    """
    return (
        sum(counts),
        sum(value * many for value, many in enumerate(counts)),
        sum(value * value * many for value, many in enumerate(counts)),
    )


def spread(number: int, total: int, squares: int) -> int:
    """The variance (divisor n) times n², a whole number; exactly 0 where all values are the
    same.
    """
    return number * squares - total * total


def _add_block(
    table: Whole, codes: Codes, right: Codes, cells: NDArray[Any], is_right: NDArray[np.bool]
) -> None:
    """Counts some people into the table, with one bincount an item over code and score together."""
    import numpy as np

    many, width = table.shape
    cells[...] = codes.T
    np.equal(cells, right[:, None], out=is_right)
    # Narrow numbers keep a block in the processor's cache; a score cannot exceed the items.
    scores = is_right.sum(axis=0, dtype=np.uint8 if many < 2**8 else np.int64)
    cells *= many + 1
    cells += scores.astype(cells.dtype)
    for place, column in enumerate(cells):
        table[place] += np.bincount(column, minlength=width)
