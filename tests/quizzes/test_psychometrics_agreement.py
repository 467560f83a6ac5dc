"""Do agreement, intervals and cut scores come out as published?"""

from math import exp, log
from statistics import NormalDist

import krippendorff
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2

from quizzes.psychometrics.agreement import (
    ac1,
    alpha,
    alpha_interval,
    count_pairable,
    cross_tabulate,
    interval,
    kappa,
    nominal,
    ordinal,
)
from quizzes.psychometrics.answers import BadTable
from quizzes.psychometrics.cut_score import angoff
from quizzes.psychometrics.intervals import wilson
from quizzes.psychometrics.likelihood import kappa_interval
from quizzes.psychometrics.observations import read_observations
from tests.quizzes.published import near, numbers, row, rows, values


def linear(many):
    """Disagreement weights that grow with the distance of two of so many values in order."""
    return [[abs(i - j) for j in range(many)] for i in range(many)]


def quadratic(many):
    """Disagreement weights that grow with the square of the distance."""
    return [[(i - j) ** 2 for j in range(many)] for i in range(many)]


def table(text):
    return [numbers(line) for line in text.split("/")]


def test_cohens_kappa_and_its_weights():
    # Cohen (1960, 1968) as quoted in R psych help
    published = row("kappa", "proportions")
    cells = table(published["inputs"].removeprefix("proportions"))
    found = kappa(cells)
    assert (found.kappa, found.observed, found.expected) == near((29 / 59, 0.70, 0.41))
    assert found.kappa == near(numbers(published["value"])[0])
    assert kappa(cells, [[0, 1, 3], [1, 0, 6], [3, 6, 0]]).kappa == near(
        values("weighted kappa, disagreement weights 0 1 3")[0]
    )
    assert kappa(cells, [[0, 1, 4], [1, 0, 6], [2, 2, 0]]).kappa == near(
        values("weighted kappa, weights 0 1 4")[0]
    )


def test_kappa_with_its_errors_and_interval():
    # Fleiss (1981), table 13.1 (from memory); R psych, R vcd, statsmodels
    published = row("kappa; SE; SE if kappa = 0", "75 1 4")
    at, se, _if_none, _z, low, high = numbers(published["value"])
    found = kappa(table(published["inputs"]))
    assert (found.kappa, found.se) == near((at, se))
    # The published interval is that of large samples: 1.96 standard errors to both sides.
    by = NormalDist().inv_cdf(0.975) * found.se
    assert (found.kappa - by, found.kappa + by) == near((low, high), 5e-5)
    # With a hundred lines the likelihood's is not far from it.
    assert kappa_interval(table(published["inputs"])) == near((low, high), 0.03)
    agreed, nominal_alpha = values("Gwet AC1; Krippendorff nominal alpha")
    assert ac1(table(published["inputs"])) == near(agreed)
    assert alpha(units_of(table(published["inputs"])), nominal) == near(nominal_alpha)


def test_weighted_kappa_by_distance():
    # Fleiss, Cohen and Everitt (1969), the table as quoted in R psych help; R vcd, scikit-learn
    published = row("kappa; SE; linear and quadratic", "106 10 4")
    cells = table(published["inputs"])
    plain = kappa(cells)
    found = [plain.kappa, plain.se, kappa(cells, linear(3)).kappa, kappa(cells, quadratic(3)).kappa]
    assert found == near(numbers(published["value"]))


def test_errors_of_weighted_kappa():
    # R vcd data after Hout, Duncan and Sobel (1987)
    published = row("kappa (SE); linear weighted (SE)")
    cells = table(published["inputs"])
    plain, weighted = kappa(cells), kappa(cells, linear(4))
    assert [plain.kappa, plain.se, weighted.kappa, weighted.se] == near(numbers(published["value"]))


def test_trap_kappa_falls_on_lop_sided_tables():
    # Gwet (2008), restated publicly; the second from a users-group paper
    first, second = row("paradox: raw agreement", "118 5"), row("paradox: kappa; PABAK", "95 4")
    raw, below, agreed, _ = numbers(first["value"])
    found = kappa(table(first["inputs"]))
    assert (found.observed, found.kappa, ac1(table(first["inputs"]))) == near((raw, below, agreed))
    assert kappa(table(second["inputs"])).kappa == near(numbers(second["value"])[0])


def test_kappa_by_hand_and_where_there_is_none():
    found = kappa(table(row("kappa, po, pe", "20 5")["inputs"]))
    assert (found.kappa, found.observed, found.expected) == near(values("kappa, po, pe", "20 5"))
    none = kappa([[10, 0], [0, 0]])
    assert (none.kappa, none.se, kappa_interval([[10, 0], [0, 0]])) == (None, None, None)
    assert ac1([[10, 0], [0, 0]]) == 1
    assert kappa([[6, 0], [4, 0]]).kappa == near(0)
    with pytest.raises(ValueError, match="judged by both"):
        kappa([])


@pytest.mark.parametrize("half", [2, 5, 10, 60])
def test_observers_who_always_agree_may_still_differ_and_never_by_more_than_all(half):
    """Worked out by hand: of n lines, half of each kind, a share m beside the diagonal has the
    likelihood (1 - m)^n, and the least kappa it leaves is 1 - 2m; at the bound n·ln(1 - m) is minus
    half of chi-squared. The same with the signs turned where they never agree.
    """
    off = 1 - exp(-chi2.ppf(0.95, 1) / 2 / (2 * half))
    assert kappa_interval([[half, 0], [0, half]]) == near((1 - 2 * off, 1.0), 1e-4)
    assert kappa_interval([[0, half], [half, 0]]) == near((-1.0, 2 * off - 1), 1e-4)


@settings(max_examples=25, deadline=None)
@given(
    cells=st.lists(st.integers(0, 30), min_size=9, max_size=9).filter(lambda many: any(many)),
    seed=st.integers(0, 2**32 - 1),
)
def test_the_bounds_of_kappa_are_within_its_range_and_hold_every_table_near_enough(cells, seed):
    """By the definition: each table of shares whose likelihood ratio chi-squared does not refuse
    (Wilks 1938) has a kappa within.
    """
    counts = [cells[:3], cells[3:6], cells[6:]]
    bounds = kappa_interval(counts)
    found = kappa(counts).kappa
    if found is None:
        assert bounds is None
        return
    low, high = bounds
    assert -1 <= low <= found <= high <= 1
    assert low < high
    seen = [(many, many / sum(cells)) for many in cells]
    for shares in np.random.default_rng(seed).dirichlet(np.array(cells) + 0.3, 300).clip(1e-9):
        apart = sum(
            many * log(was / share) for (many, was), share in zip(seen, shares, strict=True) if many
        )
        if 2 * apart <= chi2.ppf(0.95, 1):
            one = kappa(shares.reshape(3, 3)).kappa
            assert one is None or low - 1e-3 <= one <= high + 1e-3


KRIPPENDORFF = [
    [None if said == "-" else float(said) for said in word]
    for word in row("Krippendorff alpha: nominal; ordinal")["inputs"]
    .partition("missing:")[2]
    .split()
]


def test_krippendorffs_four_observers():
    # Computing Krippendorff's Alpha-Reliability (2011), section C
    found = [alpha(KRIPPENDORFF, metric) for metric in (nominal, ordinal, interval)]
    published = row("Krippendorff alpha: nominal; ordinal")["value"]
    assert found == near([numbers(part)[0] for part in published.split(";")[:3]])


def test_trap_judgements_without_a_partner_are_left_out():
    assert sum(value is not None for unit in KRIPPENDORFF for value in unit) == 41
    assert count_pairable(KRIPPENDORFF) == values("pairable values and counts")[0] == 40


def test_krippendorffs_two_observers():
    # same paper, sections A and B (B from memory)
    first, second = (
        list(map(int, word)) for word in row("Krippendorff alpha, binary")["inputs"].split()[-3::2]
    )
    assert alpha(list(zip(first, second, strict=True)), nominal) == near(
        values("Krippendorff alpha, binary")[0]
    )
    words = row("Krippendorff alpha, nominal")["inputs"].partition(":")[2].partition(" and ")
    both = list(zip(numbers(words[0]), numbers(words[2]), strict=True))
    assert alpha(both, nominal) == near(values("Krippendorff alpha, nominal")[0])


def units_of(cells):
    return [
        (i, j)
        for i, line in enumerate(cells)
        for j, many in enumerate(line)
        for _ in range(int(many))
    ]


JUDGED = st.lists(
    st.lists(st.one_of(st.none(), st.integers(1, 5)), min_size=3, max_size=3),
    min_size=2,
    max_size=20,
)


@given(JUDGED)
@settings(max_examples=60)
def test_alpha_is_that_of_a_general_purpose_library(units):
    data = np.array(
        [[np.nan if value is None else value for value in unit] for unit in units], dtype=float
    ).T
    for metric, level in ((nominal, "nominal"), (ordinal, "ordinal"), (interval, "interval")):
        found = alpha(units, metric)
        paired = {
            value
            for unit in units
            if sum(one is not None for one in unit) > 1
            for value in unit
            if value is not None
        }
        if len(paired) < 2:
            assert found is None
        else:
            assert found == near(
                krippendorff.alpha(reliability_data=data, level_of_measurement=level), 1e-9
            )


@given(JUDGED, st.randoms())
@settings(max_examples=40)
def test_neither_the_order_of_units_nor_that_of_observers_matters(units, chance):
    mixed = [list(unit) for unit in units]
    chance.shuffle(mixed)
    turned = [unit[::-1] for unit in mixed]
    for metric in (nominal, ordinal, interval):
        found = alpha(units, metric)
        assert alpha(turned, metric) == (None if found is None else near(found))


@given(st.lists(st.tuples(st.integers(1, 4), st.integers(1, 4)), min_size=1, max_size=40))
@settings(max_examples=60)
def test_kappa_is_agreement_beyond_chance_by_its_definition(pairs):
    _, cells = cross_tabulate(pairs)
    first, second = zip(*pairs, strict=True)
    observed = sum(a == b for a, b in pairs) / len(pairs)
    expected = (
        sum(first.count(value) * second.count(value) for value in set(first)) / len(pairs) ** 2
    )
    found = kappa(cells)
    assert (found.observed, found.expected) == near((observed, expected))
    assert found.kappa == (None if expected == 1 else near((observed - expected) / (1 - expected)))
    _, turned = cross_tabulate([(b, a) for a, b in pairs])
    assert kappa(turned).kappa == (None if found.kappa is None else near(found.kappa))


def test_the_bootstrap_interval_holds_alpha_and_comes_again_from_its_seed():
    low, high = alpha_interval(KRIPPENDORFF, interval, seed=4, times=400)
    assert low < alpha(KRIPPENDORFF, interval) < high <= 1
    assert alpha_interval(KRIPPENDORFF, interval, seed=4, times=400) == (low, high)
    assert alpha_interval(KRIPPENDORFF, interval, seed=5, times=400) != (low, high)
    assert alpha_interval([], interval, seed=1) is None


def test_a_table_of_observers_is_read():
    found = read_observations("unit;Bo;Dot\nring;1;1.0\nguard;2;\ncap;-;NA\n")
    assert found.observers == ("Bo", "Dot")
    assert found.units == ((1.0, 1.0), (2.0, None), (None, None))
    assert read_observations("Bo,Dot\nright,wrong\n1,2\n").units == (("right", "wrong"), ("1", "2"))
    with pytest.raises(BadTable, match="one-observer"):
        read_observations("unit,Bo\nring,1\n")


@pytest.mark.parametrize("published", rows("95 % Wilson interval"), ids=lambda one: one["inputs"])
def test_wilsons_interval(published):
    # Newcombe (1998), Stat. Med. 17, table I
    right, people = map(int, published["inputs"].split("/"))
    assert wilson(right, people) == near(tuple(numbers(published["value"])), 5e-5)


@pytest.mark.parametrize(
    "published", rows("95 % Wilson; Clopper-Pearson"), ids=lambda one: one["inputs"]
)
def test_the_interval_of_few(published):
    right, people = map(int, published["inputs"].split("/"))
    first, _ = published["value"].split(";")
    assert wilson(right, people) == near(tuple(numbers(first)))


def test_the_share_of_nobody_has_no_bounds_and_an_end_is_its_own_bound():
    assert wilson(0, 0) is None
    assert wilson(0, 9)[0] == 0.0
    assert wilson(9, 9)[1] == 1.0


def test_a_cut_score_of_three_judges():
    # invented ratings, for the arithmetic only; method: Angoff (1971)
    published = row("Angoff: judge sums")
    ratings = [numbers(line) for line in published["inputs"].partition("[[")[2].split("], [")]
    *sums, cut, share, sd, se, lowest = numbers(published["value"].replace("items =", ""))
    found = angoff(ratings)
    assert found.sums == near(tuple(sums))
    assert (found.cut, found.share, found.sd, found.se) == near((cut, share, sd, se))
    assert found.lowest_passing == lowest


def test_a_cut_score_takes_whole_rows_of_chances():
    alone = angoff([[0.1, 0.2, 0.7]])
    assert (alone.cut, alone.lowest_passing, alone.sd, alone.se) == (1.0, 1, None, None)
    for ratings in ([], [[]], [[0.5], [0.5, 0.5]], [[1.5]]):
        with pytest.raises(ValueError, match=r"\w"):
            angoff(ratings)
