"""Are two observers compared on the lines that both filled in, of the same job and no other?"""

import datetime
from itertools import islice

import pytest

from quizzes.psychometrics.agreement import kappa
from tests.quizzes.test_psychometrics_agreement import numbers, row, table
from tests.training.shop import NOW, TODAY, found, observe
from training.actions.entries import write_down
from training.models import Void
from training.reports.agreement import SEEN, OneSaw, agreement_page, pairs_of, say_conclusion


def sheets(counts, lines_a_job=7):
    """The sheets of two observers whose lines make up this table, spread over jobs of so many
    lines.
    """
    units = iter(
        [
            (one, other)
            for one, cells in zip(SEEN, counts, strict=True)
            for other, many in zip(SEEN, cells, strict=True)
            for _ in range(int(many))
        ]
    )
    job = 0
    while lines := list(islice(units, lines_a_job)):
        job += 1
        for place, observer in enumerate(("Ana", "Bert")):
            yield OneSaw(
                f"job {job}",
                observer,
                {f"step-{number}": line[place] for number, line in enumerate(lines)},
            )


def test_two_observers_of_many_jobs_agree_as_the_published_table_says():
    # Fleiss (1981), table 13.1 (from memory); R psych, R vcd, statsmodels
    published = row("kappa; SE; SE if kappa = 0", "75 1 4")
    at, _, _, _, low, high = numbers(published["value"])
    (pair,) = pairs_of(sheets(table(published["inputs"])))
    assert (pair.first, pair.second, pair.jobs, pair.lines) == ("Ana", "Bert", 15, 100)
    assert [list(cells) for cells in pair.table] == table(published["inputs"])
    assert pair.kappa == pytest.approx(at, abs=5e-4)
    # The published bounds are those of large samples; ours never leave the range of kappa.
    assert (pair.low, pair.high) == pytest.approx((low, high), abs=0.03)
    assert not pair.are_few


def test_only_lines_that_both_filled_in_of_the_same_job_are_compared():
    named = {"b": "Seat the ring", "c": "Close the cap"}
    ana = OneSaw("one", "Ana", {"a": "unaided", "b": "prompted", "c": "unaided"}, named)
    bert = OneSaw("one", "Bert", {"b": "unaided", "c": "unaided", "d": "not right"})
    other_job = OneSaw("two", "Bert", {"a": "unaided"})
    (pair,) = pairs_of([bert, ana, other_job])
    assert (pair.jobs, pair.lines, pair.observed) == (1, 2, 0.5)
    assert pair.table[1][0] == 1  # Ana said prompted where Bert said unaided
    assert pair.are_few
    assert (pair.differing, pair.differs) == (1, (("Seat the ring", 1),))
    assert pair.observed_percent == 50
    assert say_conclusion([pair]) == "1 pair of observers saw some lines differently"


def test_a_short_table_has_no_kappa_beyond_1_and_is_said_to_be_short():
    """Five lines seen alike and one not: 1.96 standard errors would end at 1.3."""
    lines = dict.fromkeys("abc", "unaided") | dict.fromkeys("de", "prompted")
    (pair,) = pairs_of(
        [
            OneSaw("one", "Ana", lines | {"f": "prompted"}),
            OneSaw("one", "Bert", lines | {"f": "unaided"}),
        ]
    )
    found = kappa(pair.table)
    assert found.kappa + 1.96 * found.se > 1
    assert -1 <= pair.low < pair.kappa < pair.high < 1
    (alike,) = pairs_of([OneSaw("one", name, lines) for name in ("Ana", "Bert")])
    assert say_conclusion([alike]) == "Too few lines to say: 5 of 30"
    assert (alike.kappa, alike.high) == (1, 1)
    assert alike.low < 0.7


def test_a_share_of_lines_is_rounded_down():
    """29 of 100: in binary numbers 100 × 0.29 is a little less than 29."""
    (pair,) = pairs_of(sheets([[29, 71, 0], [0, 0, 0], [0, 0, 0]]))
    assert pair.observed_percent == 29


def test_of_two_sheets_of_one_observer_the_later_counts():
    (pair,) = pairs_of(
        [
            OneSaw("one", "Ana", {"a": "prompted"}),
            OneSaw("one", "Bert", {"a": "unaided"}),
            OneSaw("one", "Ana", {"a": "unaided"}),
        ]
    )
    assert pair.observed == 1
    assert pair.kappa is None  # nothing but unaided: nothing beyond chance


def test_three_observers_of_one_job_are_three_pairs():
    found_pairs = pairs_of(
        [OneSaw("one", name, {"a": "unaided"}) for name in ("Cy", "Ana", "Bert")]
    )
    assert [(pair.first, pair.second) for pair in found_pairs] == [
        ("Ana", "Bert"),
        ("Ana", "Cy"),
        ("Bert", "Cy"),
    ]


def test_the_page_compares_two_seniors_at_one_bench_and_leaves_out_what_is_void(shop, as_):
    assert "No two seniors" in as_(shop.owner).get("/agreement/").text
    found(shop.other_senior, shop.level, shop.owner)
    observe(shop, shop.trainee)
    observe(shop, shop.trainee, "prompted", observer=shop.other_senior)
    page = as_(shop.owner).get("/agreement/").text
    assert "1 job together" in page
    assert shop.other_senior.name in page
    write_down(
        Void(
            kind="observation",
            person=shop.trainee,
            about="air-spring",
            by=shop.owner,
            reason="Another fork.",
            happened_on=TODAY,
            recorded_at=NOW + datetime.timedelta(hours=1),
        )
    )
    assert agreement_page() == ()
