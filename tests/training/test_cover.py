"""Is the cover of the next weeks what a direct count says, also without one person or two, and does
the page say it?

Held against a direct count and an enumeration of all pairs; invented shops, no outside source.
"""

import re
from collections import Counter
from datetime import timedelta
from html import unescape
from itertools import combinations, pairwise

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.training.shop import NOW, TODAY, make_ready
from training.cover.gaps import DayCover, cover, days_between, gaps
from training.cover.pace import shop_at_usual_pace
from training.cover.rota import Rota, Shift
from training.cover.without import days_broken, days_without, people_leaned_on
from training.models import Absence, Job, Want
from training.models import Rota as RotaRow
from training.records.gathering import gather
from training.reports.cover_page import CoverAsked, cover_page
from training.reports.plan import PlanAsked
from training.reports.plan_page import plan_page

PEOPLE = ("ana", "kim", "sol", "tom", "uma")
DAYS = st.lists(
    st.builds(
        DayCover,
        st.sampled_from(["main", "other"]),
        st.sampled_from(["air", "damper"]),
        st.dates(TODAY, TODAY + timedelta(days=9)),
        st.integers(1, 4),
        st.lists(st.sampled_from(PEOPLE), unique=True).map(tuple),
    ),
    max_size=25,
)


def falls(days, gone):
    """One by one: enough with everybody there, too few once these are taken out."""
    return sum(
        1
        for one in days
        if len(one.there) >= one.wanted > len([who for who in one.there if who not in gone])
    )


@given(DAYS, st.integers(1, 2))
def test_on_whom_the_shop_leans_is_what_taking_everybody_out_in_turn_says(days, size):
    found = {lean.people: lean.falls for lean in people_leaned_on(days, size)}
    counted = {
        gone: falls(days, gone)
        for gone in combinations(sorted({who for one in days for who in one.there}), size)
    }
    assert found == {gone: count for gone, count in counted.items() if count}
    heaviest = [lean.falls for lean in people_leaned_on(days, size)]
    assert heaviest == sorted(heaviest, reverse=True)


@given(DAYS, st.sets(st.sampled_from(PEOPLE), max_size=2))
def test_what_falls_is_what_was_enough_and_is_not_without_them(days, gone):
    found = days_broken(days, gone)
    assert len(found) == falls(days, gone)
    assert all(one.missing and not set(one.there) & gone for one in found)
    assert [one.day for one in days_without(days, gone)] == [one.day for one in days]
    assert days_broken(days, ()) == ()


def test_nobody_counts_three():
    with pytest.raises(ValueError, match="one person or two"):
        people_leaned_on([], 3)


def test_gaps_are_the_cover_that_is_too_thin():
    rota = Rota(
        [Shift("ana", "main", frozenset(range(7))), Shift("sol", "main", frozenset({0}))], []
    )
    wanted = {("main", "air"): (2, 1, 0, 1, 1, 1, 1)}
    days = tuple(days_between(TODAY, TODAY + timedelta(days=6)))

    def is_alone(person, level, day):
        return day != TODAY or person == "sol"

    found = list(cover(rota, wanted, days, is_alone))
    # TODAY is a Wednesday, on which nobody is wanted
    assert [one.day.weekday() for one in found] == [2, 3, 4, 5, 6, 0, 1][1:]
    assert gaps(rota, wanted, days, is_alone) == tuple(
        one for one in found if len(one.there) < one.wanted
    )


# ---- the usual pace


@pytest.mark.django_db
def test_the_usual_pace_is_last_years_jobs_evenly_spread(shop):
    for back in (400, 300, 200, 100):  # 400 days ago is not in the last year
        Job.objects.create(
            person=shop.mechanic,
            level=shop.level,
            happened_on=TODAY - timedelta(days=back),
            recorded_at=NOW,
            variant={},
        )
    until = TODAY + timedelta(days=365)
    more = [
        job
        for job in shop_at_usual_pace(gather(), TODAY, until, NOW).jobs
        if job.on > TODAY and job.person == "mika"
    ]
    assert len(more) in (3, 4)  # three a year, from the last one on
    pauses = {(later.on - earlier.on).days for earlier, later in pairwise(more)}
    assert pauses <= {121, 122}  # a third of 365 days
    assert all(job.level == "air-spring" and TODAY < job.on <= until for job in more)


@pytest.mark.django_db
def test_the_usual_pace_keeps_somebody_in_practice_and_nobody_who_did_nothing(shop):
    before = gather()
    assert list(shop_at_usual_pace(before, TODAY, TODAY + timedelta(days=90), NOW).jobs) == list(
        before.jobs
    )


# ---- the page

ASK = CoverAsked(weeks=4, at_pace=False, gone=())


@pytest.fixture
def wanting(shop):
    """The mechanic and a senior are at work from Monday to Friday; two alone are wanted on Mondays,
    one on Fridays.
    """
    for person in (shop.mechanic, shop.senior):
        RotaRow.objects.create(
            person=person, workshop=shop.workshop, mon=True, tue=True, wed=True, thu=True, fri=True
        )
    Want.objects.create(workshop=shop.workshop, level=shop.level, mon=2, fri=1)
    return shop


@pytest.mark.django_db
def test_a_shop_that_wants_nothing_has_no_cover(shop, as_):
    assert cover_page(ASK, on=TODAY, now=NOW) is None
    assert (
        "Set how many people you need"
        in as_(shop.owner).get(reverse("training:cover")).content.decode()
    )


@pytest.mark.django_db
def test_the_page_counts_days_and_says_who_is_leaned_on(wanting):
    page = cover_page(ASK, on=TODAY, now=NOW)
    # Four weeks from Wednesday 25 November have four Mondays and four Fridays; only the senior is
    # alone.
    assert [(row.wanted, row.short) for row in page.rows] == [("8 days", "4 days")]
    assert [(lean.names, lean.falls) for lean in page.one] == [(wanting.senior.name, "4 days")]
    Absence.objects.create(
        person=wanting.senior, first=TODAY, until=TODAY + timedelta(days=6), why="away"
    )
    page = cover_page(ASK, on=TODAY, now=NOW)
    assert [row.short for row in page.rows] == ["5 days"]


@pytest.mark.django_db
def test_without_somebody_the_days_that_fall_are_told(wanting, as_):
    page = cover_page(CoverAsked(weeks=8, at_pace=True, gone=("sol",)), on=TODAY, now=NOW)
    assert [row.short for row in page.rows] == ["16 days"]
    assert [short.count for short in page.falls] == ["8 days"]
    text = (
        as_(wanting.owner)
        .get(reverse("training:cover"), {"without": "sol", "weeks": "8"})
        .content.decode()
    )
    assert f"Extra short days without {wanting.senior.name}" in text
    # the question goes on to the plan
    link = unescape(re.search(r'href="(/cover/plan/\?[^"]+)"', text)[1])
    assert "gone=sol" in link
    plan = as_(wanting.owner).get(link)
    assert "Planned without Sol Senior." in plan.content.decode()
    assert plan.context["asked"].gone == ("sol",)


@pytest.mark.django_db
def test_the_board_shows_each_day_once_and_says_of_a_gap_who_is_missing(wanting, as_):
    """Four weeks from a Wednesday: people are wanted on Mondays and Fridays."""
    page = cover_page(ASK, on=TODAY, now=NOW)
    (board,) = page.boards
    assert board.days == tuple(TODAY + timedelta(days=number) for number in range(28))
    assert sum(count for _, count in board.months) == 28
    assert [name.split()[0][:3] for name, _ in board.months] == ["Nov", "Dec"]
    (row,) = board.rows
    looks = Counter(cell.look for cell in row.cells)
    assert looks["nothing"] == 20
    assert looks["some"] + looks["nobody"] == 4 == len(board.gaps)
    for cell in row.cells:
        assert (cell.look == "nothing") == (cell.day.weekday() not in (0, 4))
        assert (cell.there < cell.wanted) == bool(cell.key)
    keys = [cell.key for _, cell in board.gaps]
    assert len(set(keys)) == len(keys)
    text = as_(wanting.owner).get(reverse("training:cover")).content.decode()
    for key in keys:
        assert f'popovertarget="{key}"' in text
        assert f'id="{key}"' in text


@pytest.mark.django_db
def test_who_is_missing_is_named_with_the_reason(wanting):
    Absence.objects.create(
        person=wanting.senior, first=TODAY, until=TODAY + timedelta(days=27), why="away"
    )
    (board,) = cover_page(ASK, on=TODAY, now=NOW).boards
    for _, cell in board.gaps:
        assert ("Sol Senior", "away or off that day") in [
            (one.name, one.why) for one in cell.missing
        ]
        assert cell.look == "nobody"
    asked = CoverAsked(weeks=8, at_pace=False, gone=("sol",))
    first, second = cover_page(asked, on=TODAY, now=NOW).boards
    assert (len(first.days), len(second.days)) == (28, 28)
    assert first.days[-1] + timedelta(days=1) == second.days[0]
    missing = [one for _, cell in first.gaps for one in cell.missing]
    assert {one.why for one in missing if one.name == "Sol Senior"} == {"left out of this cover"}


@pytest.mark.django_db
def test_a_plan_without_somebody_gives_them_nothing_to_do(wanting):
    """Sol is the only one who may teach and sign, so without Sol no plan has a line."""
    make_ready(wanting, wanting.trainee)
    asked = PlanAsked(weeks=8, own_a_day=2.0, senior_a_day=1.0, at_once=1, gone=("sol",))
    page = plan_page(asked, on=TODAY, now=NOW)
    assert page.lines == ()
    assert page.gone == "Sol Senior"
    assert "gone=sol" in asked.as_query


@pytest.mark.django_db
@pytest.mark.parametrize(
    "query", [{"weeks": "x"}, {"without": "nobody"}, {"forecast": "hope"}, {"weeks": "999"}]
)
def test_what_cannot_be_read_is_said_and_the_usual_weeks_are_shown(wanting, as_, query):
    text = as_(wanting.senior).get(reverse("training:cover"), query).content.decode()
    assert "Wrong:" in text
    assert "from 25 Nov 2026 to 22 Dec 2026" in text


@pytest.mark.django_db
def test_the_number_of_queries_does_not_grow_with_the_weeks(wanting, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def queries(weeks):
        with CaptureQueriesContext(connection) as taken:
            cover_page(CoverAsked(weeks, at_pace=True, gone=()), on=TODAY, now=NOW)
        return len(taken)

    few = queries(4)
    make_ready(wanting, wanting.mechanic)
    assert queries(13) == few
