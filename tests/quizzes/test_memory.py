"""Does memory fade as the published model says?

Values from fixtures/published/checkvalues.json: fsrs 6.3.2 and a second implementation written from
the formulas.
"""

import datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quizzes.memory.memory import Look, Memory, find_due_day, rating_of, recall, remember
from tests.quizzes.published import near, numbers, row, rows, values

START = datetime.date(2026, 1, 5)
NEVER = "intervals (stability) per review"


def after(days):
    return START + datetime.timedelta(days=days)


@pytest.mark.parametrize("one", rows("recall", "S = "), ids=lambda one: one["inputs"])
def test_recall_falls_along_the_published_curve(one):
    stability, days = numbers(one["inputs"])
    assert recall(Memory(stability, 5.0, START), after(days)) == near(float(one["value"]))


def test_the_days_until_recall_has_fallen_so_far():
    memory = Memory(10.0, 5.0, START)
    wanted = numbers(row("days until recall falls to")["quantity"])
    days = values("days until recall falls to")
    assert [(find_due_day(memory, want) - START).days for want in wanted] == [
        round(day) for day in days
    ]


def in_order(ratings, wanted=0.9, gaps=None):
    """Days until due and stability after each answer, given when it is due or after fixed gaps."""
    on, looks, found = START, [], []
    for place, rating in enumerate(ratings):
        looks.append(Look(on, rating))
        memory = remember(looks)
        days = (find_due_day(memory, wanted) - on).days
        found.append((days, memory.stability))
        on += datetime.timedelta(days=gaps[place] if gaps else days)
    return found


SEQUENCES = {
    "always Good": (["good"] * 6, 0.9, None),
    "always Hard": (["hard"] * 5, 0.9, None),
    "Good Good Again": (["good", "good", "again", "good", "good"], 0.9, None),
    "Again first": (["again"] + ["good"] * 4, 0.9, None),
    "Good x4 with retention target .80": (["good"] * 4, 0.8, None),
    "Good x4 with retention target .95": (["good"] * 4, 0.95, None),
    "Good x5 reviewed at fixed 30-day": (["good"] * 5, 0.9, [30] * 5),
    "Good x3 at 90-day gaps": (["good"] * 3 + ["again"], 0.9, [90, 90, 180, 1]),
}


@pytest.mark.parametrize("name", SEQUENCES)
def test_each_answer_leaves_the_published_memory(name):
    expected = numbers(row(NEVER, name)["value"])
    pairs = list(zip(expected[::2], expected[1::2], strict=True))
    got = in_order(*SEQUENCES[name])
    assert [days for days, _ in got] == [days for days, _ in pairs]
    assert [stability for _, stability in got] == [near(stability, 1e-4) for _, stability in pairs]


def test_two_answers_on_one_day_count_as_no_time_between_them():
    """Elapsed time is whole days: the trap named with the check values. The same gaps as in the
    library's own test.
    """
    days, ratings = [0, 0, 1, 3, 8, 21], ["again", *["good"] * 5]
    looks, on = [], 0
    for gap, rating in zip(days, ratings, strict=True):
        on += gap
        looks.append(Look(after(on), rating))
    expected = values("stability; difficulty after six reviews")
    memory = remember(looks)
    assert (memory.stability, memory.difficulty) == (
        near(expected[0], 1e-4),
        near(expected[1], 1e-4),
    )


def test_how_an_answer_is_taken():
    assert [rating_of(marks) for marks in (Decimal(1), Decimal("0.5"), Decimal("0.00001"), 0)] == [
        "good",
        "hard",
        "hard",
        "again",
    ]


def test_without_an_answer_there_is_no_memory():
    assert remember([]) is None


@pytest.mark.parametrize("wanted", [0, 1, 1.5, -1])
def test_a_recall_that_cannot_be_wanted_is_refused(wanted):
    with pytest.raises(ValueError, match="between 0 and 1"):
        find_due_day(Memory(1.0, 5.0, START), wanted)


LOOKS = st.lists(
    st.tuples(st.integers(0, 400), st.sampled_from(["again", "hard", "good"])),
    min_size=1,
    max_size=8,
)


@given(LOOKS, st.integers(0, 2000))
def test_recall_is_a_chance_and_only_falls(gaps, days):
    on, looks = 0, []
    for gap, rating in gaps:
        on += gap
        looks.append(Look(after(on), rating))
    memory = remember(looks)
    one, later = recall(memory, after(on + days)), recall(memory, after(on + days + 1))
    assert 0 < later <= one <= 1
    assert recall(memory, after(on)) == 1
    assert 1 <= memory.difficulty <= 10
    assert find_due_day(memory, 0.95) <= find_due_day(memory, 0.9) <= find_due_day(memory, 0.8)


@given(LOOKS)
def test_who_knows_it_at_the_end_remembers_at_least_as_long(gaps):
    on, looks = 0, []
    for gap, rating in gaps:
        on += gap
        looks.append(Look(after(on), rating))
    last = after(on + 10)
    kept = [
        remember([*looks, Look(last, rating)]).stability for rating in ("again", "hard", "good")
    ]
    assert kept == sorted(kept)
