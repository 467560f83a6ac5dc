"""Is the rota what was written last, for the days that it was written for, and does the past stay
as it was?

No outside source: what is expected is worked out day by day from what was written, in the order of
writing.
"""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from procedures.records.refused import Refused
from tests.training.factories import UserFactory, WorkshopFactory
from tests.training.shop import LONG_AGO, TODAY
from training.actions.rota import add_absence, drop_absence, set_shift, set_want
from training.cover.rota import Away, Rota, Shift
from training.models import DAYS, Absence, Want
from training.models import Rota as RotaRow
from training.reports.cover import rota_of, wanted_of

FIRST = date(2026, 11, 23)  # a Monday


class TestShifts(TestCase):
    @given(
        st.lists(
            st.tuples(st.integers(0, 1), st.sets(st.sampled_from(DAYS)), st.integers(0, 20)),
            max_size=6,
        )
    )
    def test_the_last_writing_holds_from_its_day_on_and_only_in_its_workshop(self, writings):
        person, owner = UserFactory(), UserFactory(trade="owner")
        places = [WorkshopFactory(name=name) for name in ("Main", "Other")]
        expected = {}
        for place, weekdays, start in writings:
            set_shift(
                person=person,
                workshop=places[place],
                weekdays=weekdays,
                first=FIRST + timedelta(days=start),
                by=owner,
            )
            for day in range(start, 30):
                expected[place, day] = DAYS[day % 7] in weekdays
        rota = rota_of()
        for place in (0, 1):
            for day in range(30):
                assert rota.is_at_work(
                    person.login, places[place].name, FIRST + timedelta(days=day)
                ) == expected.get((place, day), False)

    @given(
        st.lists(
            st.tuples(st.integers(0, 1), st.sets(st.sampled_from(DAYS)), st.integers(0, 20)),
            max_size=4,
        ),
        st.lists(st.tuples(st.integers(0, 29), st.integers(0, 5)), max_size=2),
    )
    def test_at_work_is_true_false_or_unknown_day_by_day(self, spans, absences):
        """As the design says: a row has the weekday and no absence covers the day; unknown where
        no row holds for the person on the day at all, in whatever workshop.
        """
        person, owner = UserFactory(), UserFactory(trade="owner")
        places = [WorkshopFactory(name=name) for name in ("Main", "Other")]
        for place, weekdays, start in spans:
            RotaRow.objects.create(
                person=person,
                workshop=places[place],
                first=FIRST + timedelta(days=start),
                until=FIRST + timedelta(days=start + 8),
                **dict.fromkeys(weekdays, True),
            )
        for start, more in absences:
            first = FIRST + timedelta(days=start)
            add_absence(person=person, first=first, until=first + timedelta(days=more), by=owner)
        rota = rota_of()
        for number in range(30):
            holding = [row for row in spans if row[2] <= number <= row[2] + 8]
            works = {place for place, weekdays, _ in holding if DAYS[number % 7] in weekdays}
            if any(start <= number <= start + more for start, more in absences):
                works = set()
            on = FIRST + timedelta(days=number)
            told = [rota.presence(person.login, on, name) for name in ("", "Main", "Other")]
            known = [bool(works), 0 in works, 1 in works]
            assert told == (known if holding else [None] * 3)


def test_a_shop_is_closed_where_a_rota_holds_and_nobody_has_the_weekday():
    sunday, monday = FIRST + timedelta(days=6), FIRST
    rota = Rota(
        [
            Shift("ana", "Main", frozenset({0, 1})),
            Shift("bo", "Other", frozenset({6})),
            Shift("cy", "Main", frozenset({6}), until=FIRST),
        ],
        [Away("ana", monday, monday)],
    )
    everybody = ["ana", "bo", "cy"]
    assert rota.is_closed(sunday, everybody, "Main")
    assert not rota.is_closed(sunday, everybody)  # Other is open
    assert rota.is_closed(sunday, ["ana", "cy"])  # bo is not employed
    assert not rota.is_closed(monday, everybody, "Main")  # all away is not closed
    assert not rota.is_closed(sunday, ["dee"])  # no rota says nothing


@pytest.mark.django_db
def test_what_was_worked_before_stays(shop):
    set_shift(
        person=shop.senior, workshop=shop.workshop, weekdays=["mon"], first=LONG_AGO, by=shop.owner
    )
    assert (
        set_shift(
            person=shop.senior, workshop=shop.workshop, weekdays=[], first=TODAY, by=shop.owner
        )
        is None
    )
    (row,) = RotaRow.objects.filter(person=shop.senior)
    assert (row.first, row.until) == (LONG_AGO, TODAY - timedelta(days=1))
    with pytest.raises(ValueError, match="no weekday someday"):
        set_shift(
            person=shop.senior,
            workshop=shop.workshop,
            weekdays=["someday"],
            first=TODAY,
            by=shop.owner,
        )


@pytest.mark.django_db
def test_an_absence_runs_forward_and_is_taken_out_once(shop):
    with pytest.raises(Refused, match="ends on or after its first day"):
        add_absence(person=shop.senior, first=TODAY, until=TODAY - timedelta(days=1), by=shop.owner)
    away = add_absence(person=shop.senior, first=TODAY, until=TODAY, why="ill", by=shop.owner)
    with pytest.raises(Refused, match="was taken out already"):
        drop_absence(person=shop.mechanic, pk=away.pk, by=shop.owner)
    drop_absence(person=shop.senior, pk=away.pk, by=shop.owner)
    assert not Absence.objects.exists()


@pytest.mark.django_db
def test_what_is_wanted_is_kept_once_and_gone_with_the_last_number(shop):
    for counts in ({"mon": 2, "sun": 1}, {"mon": 3}):
        set_want(workshop=shop.workshop, level=shop.level, counts=counts, by=shop.owner)
    assert wanted_of() == {(shop.workshop.name, "air-spring"): (3, 0, 0, 0, 0, 0, 0)}
    with pytest.raises(Refused, match="from 0 to 99"):
        set_want(workshop=shop.workshop, level=shop.level, counts={"mon": 100}, by=shop.owner)
    set_want(workshop=shop.workshop, level=shop.level, counts=dict.fromkeys(DAYS, 0), by=shop.owner)
    assert not Want.objects.exists()


# ---- the pages


@pytest.mark.django_db
def test_the_owner_writes_weekdays_an_absence_and_what_is_wanted(shop, as_):
    owner, address = as_(shop.owner), reverse("training:rota-person", args=["sol"])
    said = owner.post(
        address,
        {
            "what": "shift",
            "workshop": shop.workshop.pk,
            "weekdays": ["mon", "wed"],
            "first": "2026-11-25",
        },
        follow=True,
    )
    assert "The weekdays of Sol Senior are saved." in said.text
    assert f"Mon, Wed in {shop.workshop.name}, from 25 Nov 2026" in said.text
    # the form begins with what holds
    assert re.findall(r'value="(\w+)"[^>]* checked', said.text) == ["mon", "wed"]
    said = owner.post(
        address,
        {"what": "away", "first": "2026-12-01", "until": "2026-12-04", "why": "holiday"},
        follow=True,
    )
    assert "1 Dec 2026 to 4 Dec 2026, holiday" in said.text
    numbers = dict.fromkeys(DAYS, "0") | {"mon": "2"}
    said = owner.post(
        reverse("training:want", args=[shop.workshop.pk, "air-spring"]), numbers, follow=True
    )
    assert "The number of people you need is saved." in said.text
    assert "holiday" in said.text
    cover = owner.get(reverse("training:cover")).text
    assert (
        "4 days" in cover
        # the four Mondays of four weeks from Wednesday 25 November; one person is alone, two are
        # wanted
    )
    pk = Absence.objects.get().pk
    assert (
        "is taken out"
        in owner.post(reverse("training:not-away", args=["sol", pk]), follow=True).text
    )
    assert not Absence.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("sent", "told"),
    [
        (
            {"what": "away", "first": "2026-12-04", "until": "2026-12-01"},
            "An absence ends on or after its first day.",
        ),
        ({"what": "away", "first": "soon", "until": "2026-12-01"}, "Enter a valid date"),
        ({"what": "shift", "workshop": "999", "first": "2026-12-01"}, "Select a valid choice"),
        (
            {"what": "shift", "workshop": "", "weekdays": ["someday"], "first": ""},
            "someday is not one of the available choices",
        ),
        ({}, "Weekdays from a day on"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_kept(shop, as_, sent, told):
    text = as_(shop.owner).post(reverse("training:rota-person", args=["sol"]), sent).text
    assert told in text
    assert not Absence.objects.exists()
    assert not RotaRow.objects.exists()


@pytest.mark.django_db
def test_a_senior_looks_and_changes_nothing(shop, as_):
    page = as_(shop.senior).get(reverse("training:rota")).text
    assert "Sol Senior" in page
    assert reverse("training:rota-person", args=["sol"]) not in page
    assert reverse("training:want", args=[shop.workshop.pk, "air-spring"]) not in page
