"""How long do item statistics of a million people and 40 items take, against counting alone (goal:
at most 1.5 times)?

`python -m tests.bench.item_statistics` (or with another number of people). The floor counts [item,
option, score] block by block with one bincount an item and computes nothing from it; ours takes the
same array to every figure of every item.
"""

import sys

import numpy as np

from quizzes.psychometrics.items import item_figures
from quizzes.psychometrics.reliability import whole_figures
from quizzes.psychometrics.responses import count_codes
from tests.bench.rounds import compare

ITEMS, OPTIONS, BLOCK = 40, 4, 8192
GOAL = 1.5


def counted(codes: np.ndarray, right: np.ndarray) -> np.ndarray:
    """The floor: the plain count."""
    size = (OPTIONS + 1) * (ITEMS + 1)
    table = np.zeros((ITEMS, size), dtype=np.int64)
    for start in range(0, len(codes), BLOCK):
        columns = np.ascontiguousarray(codes[start : start + BLOCK].T)
        scores = (columns == right[:, None]).sum(axis=0, dtype=np.intp)
        for place, column in enumerate(columns):
            table[place] += np.bincount(column * np.intp(ITEMS + 1) + scores, minlength=size)
    return table.reshape(ITEMS, OPTIONS + 1, ITEMS + 1)


def main(people: int) -> None:
    chance = np.random.default_rng(1)
    codes = chance.integers(0, OPTIONS + 1, size=(people, ITEMS), dtype=np.uint8)
    right = chance.integers(1, OPTIONS + 1, size=ITEMS).astype(np.uint8)
    names, options = [f"i{place}" for place in range(ITEMS)], [tuple("ABCD")] * ITEMS

    def ours() -> object:
        counts = count_codes(names, options, right.tolist(), codes)
        return whole_figures(counts), item_figures(counts)

    same = (count_codes(names, options, right.tolist(), codes).table == counted(codes, right)).all()
    print(f"{people} people, {ITEMS} items, {OPTIONS} options; both count the same: {bool(same)}")
    compare("item statistics", lambda: counted(codes, right), ours, GOAL)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
