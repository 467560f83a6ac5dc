"""How long do Rasch difficulties of 100,000 people and 40 items take, against Newton's method from
score counts (goal: 3 times)?

`python -m tests.bench.rasch` (or with another number of people). The floor sums rows and columns
and takes Newton steps with symmetric functions by differences, which loses figures where
difficulties lie far apart. Ours counts the whole table first, keeps to sums of positive terms, and
tells which items have no estimate.
"""

import sys

import numpy as np

from quizzes.psychometrics.rasch import difficulties
from quizzes.psychometrics.responses import count_codes
from tests.bench.rounds import compare

ITEMS = 40
GOAL = 3.0


def divided(sums: np.ndarray, easy: np.ndarray) -> np.ndarray:
    """The sums without one item each (last axis), by differences from the end at which they cancel
    less.
    """
    small, large = easy <= 1, easy > 1
    up, down = sums[..., small].copy(), np.zeros_like(sums[..., large])
    for score in range(1, len(sums)):
        up[score] -= easy[small] * up[score - 1]
    for score in range(len(sums) - 1, 0, -1):
        down[score - 1] = (sums[score][..., large] - down[score]) / easy[large]
    found = np.empty_like(sums)
    found[..., small], found[..., large] = up, down
    return found


def newton(right: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The floor: difficulties that sum to 0 and their standard errors."""
    many = right.shape[1]
    people = np.bincount(right.sum(axis=1), minlength=many + 1).astype(float)
    totals = right.sum(axis=0) - people[-1]
    people[[0, -1]] = 0
    at = np.log((people.sum() - totals) / totals)
    at -= at.mean()
    for _ in range(50):
        easy = np.exp(-at)
        whole = np.zeros(many + 1)
        whole[0] = 1
        for one in easy:
            whole[1:] = whole[1:] + one * whole[:-1]
        single = divided(np.repeat(whole[:, None], many, axis=1), easy)
        double = divided(np.repeat(single[:, :, None], many, axis=2), easy)
        given = easy * single[:-1] / whole[1:, None]
        expected = people[1:] @ given
        both = np.einsum("r,rij->ij", people[2:] / whole[2:], double[:-2]) * np.outer(easy, easy)
        both[np.diag_indices(many)] = expected
        information = both - (given.T * people[1:]) @ given
        step = np.linalg.solve(information + 1 / many, expected - totals)
        at = at + step - step.mean()
        if np.abs(step).max() < 1e-9:
            break
    return at, np.sqrt(np.diag(np.linalg.inv(information + 1 / many) - 1 / many))


def main(people: int) -> None:
    chance = np.random.default_rng(1)
    hard, able = np.linspace(-1.5, 1.5, ITEMS), chance.normal(size=people)
    right = (chance.random((people, ITEMS)) < 1 / (1 + np.exp(hard - able[:, None]))).astype(
        np.uint8
    )
    names = [f"i{place}" for place in range(ITEMS)]

    def ours() -> object:
        return difficulties(count_codes(names, [("1",)] * ITEMS, [1] * ITEMS, right))

    found = difficulties(count_codes(names, [("1",)] * ITEMS, [1] * ITEMS, right))
    at, errors = newton(right)
    apart = max(abs(one.difficulty - b) for one, b in zip(found, at.tolist(), strict=True))
    error_apart = max(abs(one.se - se) for one, se in zip(found, errors.tolist(), strict=True))
    print(f"{people} people, {ITEMS} items; apart at most {apart:.1e}, errors {error_apart:.1e}")
    compare("Rasch difficulties", lambda: newton(right), ours, GOAL)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
