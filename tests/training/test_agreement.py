"""Are two observers compared on the lines that both filled in, of the same job and no other?"""

import datetime
from itertools import islice

import pytest

from tests.quizzes.test_psychometrics_agreement import numbers, row, table
from tests.training.shop import NOW, TODAY, found, observe
from training.actions.entries import write_down
from training.models import Void
from training.reports.agreement import SEEN, OneSaw, agreement_page, pairs_of


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
    assert (pair.low, pair.high) == pytest.approx((low, high), abs=5e-4)
    assert not pair.are_few


def test_only_lines_that_both_filled_in_of_the_same_job_are_compared():
    ana = OneSaw("one", "Ana", {"a": "unaided", "b": "prompted", "c": "unaided"})
    bert = OneSaw("one", "Bert", {"b": "unaided", "c": "unaided", "d": "not right"})
    other_job = OneSaw("two", "Bert", {"a": "unaided"})
    (pair,) = pairs_of([bert, ana, other_job])
    assert (pair.jobs, pair.lines, pair.observed) == (1, 2, 0.5)
    assert pair.table[1][0] == 1  # Ana said prompted where Bert said unaided
    assert pair.are_few


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
