"""Do months end where a calendar says, and does a window let go of a day when it should?"""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from training.standing.calendar import add_days, add_months, first_day_out_of_window

DAYS = st.dates(date(1990, 1, 1), date(2090, 12, 31))


@given(DAYS, st.integers(-600, 600))
def test_months_agree_with_a_reference_library(day, number):
    # Reference: python-dateutil, relativedelta, which also goes to the last day of a shorter month.
    assert add_months(day, number) == day + relativedelta(months=number)


@pytest.mark.parametrize(
    ("day", "number", "expected"),
    [
        # 36 months from a leap day: our choice, no published source; lengths of months: Gregorian
        # calendar.
        (date(2024, 2, 29), 36, date(2027, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        # 2100 is no leap year: Gregorian rule, divisible by 100, not by 400
        (date(2100, 1, 31), 1, date(2100, 2, 28)),
        (date(2000, 1, 31), 1, date(2000, 2, 29)),  # 2000 is one: divisible by 400
        (date(2026, 3, 31), -1, date(2026, 2, 28)),
        (date(2026, 12, 31), 1, date(2027, 1, 31)),
        (date(2026, 1, 1), -1, date(2025, 12, 1)),
    ],
)
def test_month_ends_and_leap_days(day, number, expected):
    assert add_months(day, number) == expected


def test_the_calendars_ends_hold():
    # Python's calendar runs from year 1 to year 9999: documentation of the standard library,
    # datetime.MINYEAR, MAXYEAR.
    assert add_months(date(2026, 1, 1), 12 * 9000) == date(9999, 12, 31)
    assert add_months(date(2026, 1, 1), -12 * 3000) == date(1, 1, 1)
    assert add_days(date(9999, 12, 30), 5) == date(9999, 12, 31)


@given(DAYS, st.integers(0, 1200), st.integers(0, 40_000))
def test_what_is_valid_still_on_a_day_happened_within_as_many_months_before_it(on, number, later):
    """Who may hold a level is first looked for by that window."""
    last = add_months(on, number)
    for day in {last, max(on, last - timedelta(days=later))}:
        assert add_months(day, -number) <= on


@given(DAYS, st.integers(1, 36))
def test_a_window_lets_go_of_a_day_first_on_the_day_found_by_counting(day, number):
    # Counted with the reference library, one day after another from a day that is surely inside.
    counted = day + relativedelta(months=number) - timedelta(days=4)
    while counted - relativedelta(months=number) <= day:
        counted += timedelta(days=1)
    assert first_day_out_of_window(day, number) == counted
