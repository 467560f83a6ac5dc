"""Does a page ask the database the same number of times for a small shop and for one twenty times
as large?
"""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.training.factories import UserFactory
from tests.training.shop import NOW, TODAY
from training import models

PAGES = [
    ("senior", "/"),
    ("owner", "/"),
    ("trainee", "/"),
    ("senior", "/who-may/"),
    ("owner", "/who-may/air-spring/tilda/"),
    ("owner", "/line/tilda/"),
    ("owner", "/who-may/changed/?since=2026-01-01"),
    ("owner", "/levels/air-spring/other-rules/"),
    ("senior", "/who-may/air-spring/tilda/"),
    ("owner", "/people/"),
    ("owner", "/levels/"),
    ("owner", "/book/"),
    ("owner", "/reminders/list/"),
    ("owner", "/today/"),
    ("owner", "/cover/"),
    ("owner", "/people/tilda/"),
    ("trainee", "/study/air-spring-service/"),
]


def grow(shop, times):
    """More people, each with a reading, a job, an observation and a sign-off."""
    for _ in range(times):
        person = UserFactory(workshop=shop.workshop)
        common = {"person": person, "happened_on": TODAY, "recorded_at": NOW}
        models.Reading.objects.create(revision=shop.revision, **common)
        models.Job.objects.create(level=shop.level, watched_by=shop.senior, **common)
        models.Observation.objects.create(
            level=shop.level, observer=shop.senior, right=True, **common
        )
        models.SignOff.objects.create(level=shop.level, signer=shop.senior, **common)


def queries(browser, path):
    browser.get(path)  # what is kept from the first time on is not counted
    with CaptureQueriesContext(connection) as taken:
        assert browser.get(path).status_code == 200
    return len(taken)


def test_the_number_of_queries_does_not_grow(shop, as_):
    def of_each():
        return {(trade, path): queries(as_(getattr(shop, trade)), path) for trade, path in PAGES}

    grow(shop, 1)
    small = of_each()
    grow(shop, 20)
    assert of_each() == small
