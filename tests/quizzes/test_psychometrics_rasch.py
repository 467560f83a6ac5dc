"""Are the difficulties those of Rasch's model by conditional maximum likelihood, and is what has no
estimate told?
"""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from quizzes.psychometrics.answers import read_answers
from quizzes.psychometrics.rasch import (
    ALL_RIGHT,
    ALL_WRONG,
    APART,
    TOO_FEW,
    ability,
    difficulties,
    fit_difficulties,
    part_comparable,
)
from quizzes.psychometrics.responses import count, count_codes
from tests.quizzes.published import lsat6, near, numbers, row, values


@pytest.fixture(scope="module")
def law():
    counts = count(lsat6())
    return fit_difficulties(
        counts.right_by_score().sum(axis=1).tolist(), counts.by_score().tolist()
    )


def test_difficulties_of_the_law_school_test(law):
    # R psychotools 0.7.2, R eRm 1.0.2, girth 0.8.0, numpy by hand
    found = difficulties(count(lsat6()))
    assert [one.difficulty for one in found] == near(
        values("Rasch b, conditional ML", "LSAT6"), 1e-4
    )
    assert [one.se for one in found] == near(values("their standard errors", "LSAT6"), 1e-4)
    assert law.log_likelihood == near(values("conditional log-likelihood", "LSAT6")[0], 1e-3)


def test_abilities_by_score(law):
    # psychotools, eRm, numpy
    for said in row("theta by raw score", "LSAT6")["value"].split(";"):
        score, level, error = numbers(said)
        assert ability(law.difficulties, int(score)) == near((level, error), 1e-3)


def test_trap_neither_easiness_nor_another_anchor_nor_marginal_estimates(law):
    assert sum(law.difficulties) == near(0)
    assert law.difficulties[0] == min(law.difficulties), (
        "the item that 924 of 1000 have right is the easiest"
    )
    assert law.difficulties[0] != near(-1.2551, 5e-4), "that is the marginal estimate, centred"


def enumerated(totals, by_score):
    """Difficulties and errors by a general-purpose optimiser over the likelihood with every answer
    pattern written out.
    """
    many = len(totals)
    patterns = {score: list(combinations(range(many), score)) for score in range(1, many)}

    def height(free):
        at = np.append(free, -free.sum())
        found = -(np.array(totals) - by_score[-1]) @ at
        for score, people in enumerate(by_score[1:-1], start=1):
            found -= people * np.log(
                sum(np.exp(-at[list(chosen)].sum()) for chosen in patterns[score])
            )
        return -found

    best = minimize(height, np.zeros(many - 1), method="BFGS", options={"gtol": 1e-9})
    return [*best.x, -best.x.sum()]


@pytest.mark.parametrize("seed", range(3))
def test_a_general_purpose_optimiser_finds_the_same(seed):
    chance = np.random.default_rng(seed)
    ability_of, hard = chance.normal(size=400), chance.normal(scale=1.5, size=6)
    right = (chance.random((400, 6)) < 1 / (1 + np.exp(hard - ability_of[:, None]))).astype(
        np.uint8
    )
    counts = count_codes(list("abcdef"), [("1",)] * 6, [1] * 6, right)
    totals, by_score = right.sum(axis=0).tolist(), counts.by_score().tolist()
    assert [one.difficulty for one in difficulties(counts)] == near(
        enumerated(totals, by_score), 1e-4
    )


def test_the_errors_are_those_of_the_curvature(law):
    """Second differences of the likelihood by itself, from symmetric functions written out."""
    counts = count(lsat6())
    by_score, right = (
        counts.by_score().tolist(),
        counts.right_by_score().sum(axis=1) - counts.by_score()[-1],
    )

    def height(at):
        sums = [
            sum(np.exp(-at[list(chosen)].sum()) for chosen in combinations(range(5), score))
            for score in range(6)
        ]
        return -(right @ at) - sum(
            n * np.log(sums[score]) for score, n in enumerate(by_score) if 0 < score < 5
        )

    at, step = np.array(law.difficulties), 1e-3
    curve = np.array(
        [
            [
                (height(at + i + j) - height(at + i - j) - height(at - i + j) + height(at - i - j))
                / (4 * step**2)
                for j in np.eye(5) * step
            ]
            for i in np.eye(5) * step
        ]
    )
    errors = np.sqrt(np.diag(np.linalg.pinv(-curve, rcond=1e-6)))
    assert law.errors == near(errors.tolist(), 1e-4)


def test_true_difficulties_come_back_from_many_people():
    chance = np.random.default_rng(5)
    hard = np.linspace(-2, 2, 40)
    people = chance.normal(loc=0.7, size=20_000)
    right = (chance.random((20_000, 40)) < 1 / (1 + np.exp(hard - people[:, None]))).astype(
        np.uint8
    )
    found = difficulties(count_codes([f"i{n}" for n in range(40)], [("1",)] * 40, [1] * 40, right))
    distance = np.array(
        [(one.difficulty - true) / one.se for one, true in zip(found, hard, strict=True)]
    )
    assert np.abs(distance).max() < 4.5, "so many standard errors away is one table in thousands"
    assert 0.5 < (distance**2).mean() < 1.8, "the standard errors have the size of the real errors"


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        ("q,r\n1,1\n0,0\n", [TOO_FEW, TOO_FEW]),
        ("q\n1\n0\n", [TOO_FEW]),
        ("q,r,s\n1,1,0\n1,0,1\n1,1,0\n", [ALL_RIGHT, None, None]),
        ("q,r,s\n0,1,0\n0,0,1\n0,1,0\n", [ALL_WRONG, None, None]),
        # The one who has q wrong has everything wrong: q tells nothing beside the others.
        ("q,r,s\n1,1,0\n1,0,1\n0,0,0\n", [ALL_RIGHT, None, None]),
        # Everybody has q and r before s and t.
        ("q,r,s,t\n1,0,0,0\n0,1,0,0\n1,1,1,0\n1,1,0,1\n", [APART] * 4),
    ],
)
def test_items_without_a_finite_estimate_say_so(text, notes):
    found = difficulties(count(read_answers(text)))
    assert [one.note for one in found] == notes
    assert [one.difficulty is None for one in found] == [note is not None for note in notes]
    assert [one.se is None for one in found] == [note is not None for note in notes]


def strongly_connected(right):
    """Fischer (1981): an estimate is finite when of any two items each was had right by somebody
    who had the other wrong, directly or over others."""
    beats = ((right.T @ (1 - right)) > 0).astype(int)
    reach = np.linalg.matrix_power(beats + np.eye(len(beats), dtype=int), len(beats)) > 0
    return bool((reach & reach.T).all())


@given(st.lists(st.lists(st.booleans(), min_size=4, max_size=4), min_size=1, max_size=12))
@settings(max_examples=100)
def test_the_counts_alone_tell_whether_the_estimate_is_finite(rows):
    right = np.array(rows, dtype=int)
    totals, by_score = (
        right.sum(axis=0).tolist(),
        np.bincount(right.sum(axis=1), minlength=5).tolist(),
    )
    assert (len(part_comparable(totals, by_score)) == 1) == strongly_connected(right)


@given(
    st.lists(st.lists(st.booleans(), min_size=4, max_size=4), min_size=1, max_size=12),
    st.permutations(range(4)),
)
@settings(max_examples=40)
def test_items_in_another_order_keep_their_difficulty(rows, order):
    right = np.array(rows, dtype=np.uint8)
    there = difficulties(count_codes(list("abcd"), [("1",)] * 4, [1] * 4, right))
    back = difficulties(
        count_codes(
            ["abcd"[n] for n in order], [("1",)] * 4, [1] * 4, np.ascontiguousarray(right[:, order])
        )
    )
    found = {one.item: one for one in back}
    for one in there:
        if one.difficulty is None:
            assert found[one.item].difficulty is None
        else:
            assert found[one.item].difficulty == near(one.difficulty, 1e-6)


@pytest.mark.parametrize("spread", [0.0, 4.0, 6.0])
def test_many_items_far_apart_overflow_nothing(spread):
    """Expected counts at stated difficulties: the maximum lies exactly there, so it must be found
    again.
    """
    hard = np.linspace(-spread, spread, 60)
    by_score = [0] + [100] * 59 + [0]
    levels = [ability(hard.tolist(), score)[0] for score in range(1, 60)]
    assert np.isfinite(levels).all()
    totals = np.zeros(60)
    for score in range(1, 60):
        sums = np.zeros((60, 61))  # sums without each item, at the ability of this score
        chances = 1 / (1 + np.exp(hard - levels[score - 1]))
        for place in range(60):
            line = np.array([1.0])
            for chance in np.delete(chances, place):
                line = np.convolve(line, [1 - chance, chance])
            sums[place, : len(line)] = line
        whole = sums[0] * (1 - chances[0]) + np.roll(sums[0], 1) * chances[0]
        totals += 100 * chances * sums[:, score - 1] / whole[score]
    found = fit_difficulties(totals.tolist(), by_score)
    assert found.difficulties == near(hard.tolist(), 1e-4)


def test_none_and_all_right_have_no_ability():
    for score in (0, 3):
        with pytest.raises(ValueError, match="no finite ability"):
            ability([0.0, 1.0, -1.0], score)


def test_counts_without_a_maximum_are_refused():
    with pytest.raises(ValueError, match="no finite maximum"):
        fit_difficulties([3, 0], [0, 3, 0])
