"""Is the usual pace what the year before a day says, and nothing else?

Worked by hand from the rule in the module: as many jobs as in the 365 days before, evenly spread,
from the last one on. Invented rows, no outside source.
"""

from datetime import timedelta

import pytest

from tests.training.standing_shop import NOON, TODAY, days, job, person, shop, void
from training.cover.pace import shop_at_usual_pace

ANA = person("ana")


def expected(*rows, until=90, on=TODAY):
    """The days of the jobs that are expected, counted from the day that is asked about."""
    of = shop(ANA, *rows)
    found = shop_at_usual_pace(of, on, days(on, until), NOON).jobs
    return [(row.on - on).days for row in found if row not in of.jobs]


@pytest.mark.parametrize(("back", "counts"), [(364, True), (365, False), (366, False)])
def test_the_year_ends_with_the_day_that_is_asked_about(back, counts):
    """One job in the year is one every 365 days: the next one falls 365 days behind it."""
    at = job("ana", days(TODAY, -back))
    assert expected(at, until=400) == ([365 - back, 730 - back][:2] if counts else [])


def test_a_job_of_the_day_itself_counts_and_is_not_expected_again():
    assert expected(job("ana", TODAY), until=365) == [365]
    assert expected(job("ana", TODAY), until=364) == []


def test_a_job_of_a_later_day_does_not_set_the_pace():
    later = job("ana", days(TODAY, 5), recorded=NOON - timedelta(days=1))
    assert expected(later, until=400) == []


def test_the_spread_begins_at_the_last_job_whatever_was_written_down_last():
    """Five in the year are one every 73 days; the last one was 20 days ago."""
    backs = (300, 20, 200, 100, 150)
    rows = [job("ana", days(TODAY, -back), recorded=NOON - timedelta(1)) for back in backs]
    assert expected(*rows, until=200) == [53, 126, 199]
    assert expected(*rows, until=198) == [53, 126]


def test_what_would_have_come_by_already_is_not_expected_on_the_day_nor_before_it():
    """Five in the year, the last one 73, 146 or 74 days ago: one is due on the day, or was."""
    for back, first in ((73, 73), (146, 73), (74, 72)):
        rows = [job("ana", days(TODAY, -back - more)) for more in range(5)]
        assert expected(*rows, until=80) == [first]


def test_what_was_not_known_then_or_is_cancelled_does_not_count():
    unknown = job("ana", days(TODAY, -10), recorded=NOON + timedelta(hours=1))
    assert expected(unknown, until=400) == []
    wrong = job("ana", days(TODAY, -10))
    cancelled = void("job", "ana", "air", days(TODAY, -10), NOON)
    assert expected(wrong, until=400) == [355]
    assert expected(wrong, cancelled, until=400) == []


def test_each_person_and_level_has_a_pace_of_its_own():
    of = shop(
        ANA,
        person("bo"),
        [job("ana", days(TODAY, -back)) for back in (5, 78)],
        job("ana", days(TODAY, -5), lvl="damper"),
        job("bo", days(TODAY, -5)),
    )
    found = shop_at_usual_pace(of, TODAY, days(TODAY, 365), NOON).jobs
    # two a year are one every 182 and a half days
    assert sorted(
        (row.person, row.level, (row.on - TODAY).days) for row in found if row.on > TODAY
    ) == [("ana", "air", 177), ("ana", "air", 360), ("ana", "damper", 360), ("bo", "air", 360)]
    assert all(row.watched_by is None and not row.came_back for row in found)
