"""Do the figures of items and tests come out as published, and do they keep what must not
matter?
"""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quizzes.psychometrics.answers import Answers, BadTable, read_answers, read_key
from quizzes.psychometrics.items import WEAK_DO_BETTER, compare_groups, item_figures
from quizzes.psychometrics.reliability import item_spreads, whole_figures
from quizzes.psychometrics.responses import count, count_codes, moments, spread
from quizzes.records.wording.say import say
from tests.quizzes.published import class_of_ten, lsat6, near, values


def flags_said(item):
    return [say(flag) for flag in item.flags]


FIGURES = ("share_right", "item_rest", "item_total", "upper_lower", "alpha_without")


@pytest.fixture(scope="module")
def law():
    return count(lsat6())


def of_each(counts, name):
    return [getattr(item, name) for item in item_figures(counts)]


@pytest.mark.parametrize(
    ("figure", "quantity"),
    [
        ("share_right", "proportion right"),
        ("item_total", "r uncorrected"),
        ("item_rest", "r corrected"),
        ("alpha_without", "alpha if item dropped"),
        ("upper_lower", "upper-lower 27 %, ties shared"),
    ],
)
def test_items_of_the_law_school_test(law, figure, quantity):
    # R psych 2.2.9, the output printed with R mirt, and numpy by hand; upper-lower: R and numpy by
    # hand
    assert of_each(law, figure) == near(values(quantity, "LSAT6"))


def test_the_whole_law_school_test(law):
    test = whole_figures(law)
    mean, sd, _ = [*values("mean, SD (n-1)", "LSAT6"), None]
    assert (test.mean, test.sd) == near((mean, sd))
    assert test.alpha == near(values("alpha = KR-20", "LSAT6")[0])
    assert test.sem == near(values("SEM", "LSAT6")[0])


def test_kr20_of_a_class_of_ten():
    # K. L. Wuensch, teaching note on the Kuder-Richardson 20: sum of pq 2.18, variance 5.84
    counts = count(class_of_ten())
    *shares, of_items, of_total = values("p, p*q per item")
    assert of_each(counts, "share_right") == near(shares)
    assert sum(item_spreads(counts)) / 10**2 == near(of_items)
    assert spread(*moments(counts.by_score().tolist())) / 10**2 == near(of_total)
    assert whole_figures(counts).alpha == near(values("KR-20 for that example")[0])


def test_trap_divisors_are_not_mixed(law):
    # Item variances by n over a total variance by n − 1 give .295952 and .737823.
    assert whole_figures(law).alpha != near(0.295952)
    assert whole_figures(count(class_of_ten())).alpha != near(0.737823)


def test_trap_the_item_is_not_part_of_its_rest(law):
    third = item_figures(law)[2]
    assert round(third.item_rest, 3) == 0.173
    assert round(third.item_total, 3) == 0.618


def test_trap_ties_at_the_edge_are_shared_in_any_order():
    answers = lsat6()
    mixed = list(answers.chosen)
    random.Random(3).shuffle(mixed)
    again = Answers(answers.items, answers.options, answers.right, tuple(mixed), answers.is_marked)
    assert item_figures(count(again)) == item_figures(count(answers))


def general_purpose(right):
    """The same figures from the definitions, with numpy's own functions over the raw table."""
    total = right.sum(axis=1)
    for place, column in enumerate(right.T):
        others = np.delete(right, place, axis=1)
        rest = others.sum(axis=1)
        cut = others.shape[1]
        yield (
            column.mean(),
            np.corrcoef(column, rest)[0, 1],
            np.corrcoef(column, total)[0, 1],
            cut / (cut - 1) * (1 - others.var(axis=0, ddof=1).sum() / rest.var(ddof=1)),
        )


@pytest.mark.parametrize(("people", "items", "seed"), [(30, 5, 1), (45, 30, 2), (1500, 16, 3)])
def test_any_table_comes_out_as_numpy_has_it(people, items, seed):
    chance = np.random.default_rng(seed)
    ability, hard = chance.normal(size=people), chance.normal(size=items)
    right = (chance.random((people, items)) < 1 / (1 + np.exp(hard - ability[:, None]))).astype(
        np.uint8
    )
    counts = count_codes([f"i{n}" for n in range(items)], [("1",)] * items, [1] * items, right)
    found = [
        (one.share_right, one.item_rest, one.item_total, one.alpha_without)
        for one in item_figures(counts)
    ]
    assert np.allclose(found, list(general_purpose(right.astype(float))), atol=1e-9, rtol=0)
    test, total = whole_figures(counts), right.sum(axis=1)
    covariance = np.cov(right, rowvar=False)
    alpha = items / (items - 1) * (1 - np.trace(covariance) / covariance.sum())
    assert (test.mean, test.sd, test.alpha) == near((total.mean(), total.std(ddof=1), alpha), 1e-9)
    assert test.sem == near(total.std(ddof=1) * (1 - alpha) ** 0.5, 1e-9)


def brute_upper_lower(right, edge):
    """Everybody's part in the groups one by one: those strictly inside wholly, those at the edge by
    what is left.
    """
    total = right.sum(axis=1)
    wanted = edge * len(total)

    def group(order):
        parts = np.zeros(len(total))
        for score in order:
            at = total == score
            if at.any():
                parts[at] = min(1.0, max(0.0, wanted - parts.sum()) / at.sum())
        return parts @ right / wanted

    return group(range(right.shape[1], -1, -1)) - group(range(right.shape[1] + 1))


@given(
    st.lists(st.lists(st.booleans(), min_size=4, max_size=4), min_size=1, max_size=30), st.randoms()
)
@settings(max_examples=60)
def test_rows_in_any_order_and_in_any_batches_tell_the_same(rows, chance):
    right = np.array(rows, dtype=np.uint8)
    names, options, key = list("abcd"), [("1",)] * 4, [1] * 4
    whole = count_codes(names, options, key, right)
    chance.shuffle(rows)
    cut = chance.randint(0, len(rows))
    mixed = np.array(rows, dtype=np.uint8)
    batches = count_codes(names, options, key, mixed[:cut]) + count_codes(
        names, options, key, mixed[cut:]
    )
    assert (batches.table == whole.table).all()
    assert item_figures(batches) == item_figures(whole)
    assert of_each(whole, "upper_lower") == near(brute_upper_lower(right, 0.27).tolist(), 1e-9)


@given(st.lists(st.lists(st.booleans(), min_size=4, max_size=4), min_size=2, max_size=30))
@settings(max_examples=60)
def test_with_right_and_wrong_swapped_everywhere_shares_turn_and_correlations_stay(rows):
    """Swapping turns every score s into 4 − s, so that each correlation has two signs that
    cancel.
    """
    right = np.array(rows, dtype=np.uint8)
    there, back = (
        item_figures(count_codes(list("abcd"), [("0", "1")] * 4, [key] * 4, right + 1))
        for key in (2, 1)
    )
    for one, turned in zip(there, back, strict=True):
        assert turned.share_right == near(1 - one.share_right)
        for name in ("item_rest", "item_total", "alpha_without"):
            assert getattr(turned, name) == (
                None if getattr(one, name) is None else near(getattr(one, name))
            )


@given(st.lists(st.lists(st.booleans(), min_size=4, max_size=4), min_size=2, max_size=30))
@settings(max_examples=60)
def test_the_other_key_at_one_item_turns_the_sign_of_its_correlation_with_the_rest(rows):
    right = np.array(rows, dtype=np.uint8)
    there, back = (
        item_figures(count_codes(list("abcd"), [("0", "1")] * 4, [key, 2, 2, 2], right + 1))[0]
        for key in (2, 1)
    )
    assert back.item_rest == (None if there.item_rest is None else near(-there.item_rest))
    assert [one.r_rest for one in back.options] == [one.r_rest for one in there.options]


def simulated(people, items, options, *, wrong_key=None, seed=11):
    """Answers by the three-parameter logistic model: able people know it with slope 1.5, others
    guess among all options.
    """
    chance = np.random.default_rng(seed)
    ability, hard = chance.normal(size=people), np.linspace(-1, 1, items)
    knows = chance.random((people, items)) < 1 / (1 + np.exp(1.5 * (hard - ability[:, None])))
    truth = chance.integers(options, size=items)
    chosen = np.where(knows, truth, chance.integers(options, size=(people, items)))
    key = truth.copy()
    if wrong_key is not None:
        key[wrong_key] = (key[wrong_key] + 1) % options
    letters = "ABCDE"[:options]
    return Answers(
        tuple(f"i{n}" for n in range(items)),
        (tuple(letters),) * items,
        tuple(key.tolist()),
        tuple(map(tuple, chosen.tolist())),
        is_marked=False,
    ), letters[truth[wrong_key]] if wrong_key is not None else ""


@pytest.mark.parametrize("people", [200, 1500])
@pytest.mark.parametrize("seed", range(4))
def test_a_wrong_key_is_flagged_with_the_option_that_is_right(people, seed):
    answers, truth = simulated(people, 12, 4, wrong_key=5, seed=seed)
    found = item_figures(count(answers))
    assert f"The key may be wrong: able people choose “{truth}”." in flags_said(found[5])
    assert people < 1500 or WEAK_DO_BETTER in found[5].flags


def test_of_sixty_people_a_wrong_key_is_nearly_always_flagged_and_a_right_one_hardly_ever():
    """So few people leave it to chance: 9 of 10 wrong keys must be seen, and at most 1 of 20 right
    ones suspected.
    """
    seen = suspected = 0
    for seed in range(50):
        answers, _ = simulated(60, 12, 4, wrong_key=5, seed=seed)
        said = [
            any("key may be wrong" in flag for flag in flags_said(item))
            for item in item_figures(count(answers))
        ]
        seen += said[5]
        suspected += sum(said) - said[5]
    assert seen >= 45
    assert suspected <= 50 * 11 / 20


@pytest.mark.parametrize("seed", range(4))
def test_right_keys_are_left_in_peace(seed):
    answers, _ = simulated(300, 12, 4, seed=seed)
    assert [item.flags for item in item_figures(count(answers))] == [()] * 12


def test_an_option_that_nobody_picks_is_flagged_only_where_many_are_wrong():
    """Two wrong options, one of them empty: that is chance 1 time in 2^w where w are wrong, so with
    5 of them 1 time in 32, with 4 of them 1 in 16. Where nearly all are right it tells nothing.
    """
    key = read_key("item,key,options\nq,A,A B C\nr,B,A B\n")
    for wrong, says in ((2, ["Too easy to show a difference"]), (4, []), (5, ["Nobody picks"])):
        people = ["B,A"] * wrong + ["A,B"] * (40 - wrong)
        q, r = item_figures(count(read_answers("\n".join(["q,r", *people]), key)))
        assert [flag[: len(one)] for flag, one in zip(flags_said(q), says, strict=True)] == says
        assert not any("picks" in flag for flag in flags_said(r))
    assert flags_said(q) == ["Nobody picks the option “C”."]


def test_what_has_no_spread_is_undefined():
    (one,) = item_figures(count(read_answers("q\n1\n1\n")))
    assert (one.item_rest, one.item_total, one.alpha_without) == (None, None, None)
    for text in ("q,r\n1,1\n", "q,r\n1,1\n1,1\n", "q\n1\n0\n"):
        assert whole_figures(count(read_answers(text))).alpha is None
    alone = whole_figures(count(read_answers("q,r\n1,0\n")))
    assert (alone.people, alone.mean, alone.sd, alone.sem) == (1, 1.0, None, None)


def test_upper_and_lower_of_nobody_is_undefined():
    assert compare_groups([0, 0], [0, 0]) is None


@pytest.mark.parametrize(
    ("people", "items", "options"), [(9000, 3, 4), (20, 300, 250), (5, 260, 2), (0, 2, 2)]
)
def test_the_count_is_the_plain_count(people, items, options):
    """Of more people than one block, and of tables too wide for narrow numbers."""
    chance = np.random.default_rng(8)
    codes = chance.integers(0, options + 1, size=(people, items), dtype=np.uint8)
    right = chance.integers(1, options + 1, size=items).tolist()
    names = [f"i{n}" for n in range(items)]
    found = count_codes(names, [tuple(map(str, range(options)))] * items, right, codes).table
    expected = np.zeros_like(found)
    for row, score in zip(codes, (codes == right).sum(axis=1), strict=True):
        expected[np.arange(items), row, score] += 1
    assert (found == expected).all()


def test_a_code_that_stands_for_no_option_is_refused():
    codes = np.array([[3, 1]], dtype=np.uint8)
    for options in ([("A", "B"), ("A", "B")], [("A", "B"), ("A", "B", "C")]):
        with pytest.raises(ValueError, match="stands for no option"):
            count_codes(["q", "r"], options, [1, 1], codes)


def test_counts_of_other_items_are_not_added():
    one, other = count(read_answers("q\n1\n")), count(read_answers("r\n1\n"))
    with pytest.raises(ValueError, match="same items"):
        one + other


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "The table is empty"),
        ("q,r\n", "a header and no people"),
        ("q,q\n1,1\n", "“q” twice"),
        ("q,\n1,1\n", "Column 2 of the header has no name"),
        ("q,r\n1\n", "Line 2: 1 cell, where the header has 2"),
        ("q,r\n1,1\n1,1,0\n", "Line 3: 3 cells"),
        ("q,r\n1,2\n", "Line 2: “2” at the item “r” is not 1, 0 or empty"),
        ('q,r\n"1,1\n', "cannot be read as CSV"),
    ],
)
def test_a_table_that_cannot_be_read_says_where(text, says):
    with pytest.raises(BadTable) as caught:
        read_answers(text)
    assert says in say(caught.value.remark)


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ("item,right\nq,A\n", "needs the header item,key"),
        ("item,key\nq,A\n", "nothing for the item “r”"),
        ("item,key\nq,A\nr,B\ns,C\n", "“s”, which is not an item"),
        ("item,key\nq,A\nq,B\n", "has a key already"),
        ("item,key\nq,\nr,B\n", "must both be there"),
        ("item,key,options\nq,A,B C\nr,B,\n", "not among the options"),
        ("item,key,options\nq,A,A C\nr,B,\n", "the item “q” has no option “B”"),
    ],
)
def test_a_key_that_does_not_fit_says_why(key, says):
    with pytest.raises(BadTable) as caught:
        read_answers("q,r\nB,B\n", read_key(key))
    assert says in say(caught.value.remark)


@pytest.mark.parametrize("parting", [",", ";", "\t"])
def test_tables_are_read_as_spreadsheets_write_them(parting):
    text = "\ufeff" + "\r\n".join(
        parting.join(cells)
        for cells in [("Person", "q", "r"), ("Tilda", "a", ""), ("Mika", "B", " A ")]
    )
    answers = read_answers(text, read_key("item;key\nq;A\nr;A"))
    assert answers.items == ("q", "r")
    assert answers.options == (("A", "B"), ("A", "B"))
    assert answers.chosen == ((0, -1), (1, 0))
