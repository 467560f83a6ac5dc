"""Does the demo keep away from a real shop and a port that is taken, and is its shop alive on
whatever day it is loaded?
"""

import csv
import io
import socket
from datetime import UTC, date, datetime

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from fixtures.years import write_shop
from tests.training.factories import UserFactory
from training.models import User
from training.reports.who_may import LevelAsked, who_may

pytestmark = pytest.mark.django_db


def demo():
    call_command("demo", no_serve=True, stdout=io.StringIO(), stderr=io.StringIO())


def test_it_leaves_a_real_shop_alone():
    UserFactory()
    with pytest.raises(CommandError, match="holds a real shop"):
        demo()
    assert User.objects.count() == 1


def test_a_port_that_is_taken_is_said_before_anything_is_done():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(CommandError, match="another program has it"):
            call_command("demo", port=other.getsockname()[1])
    assert User.objects.count() == 0


@pytest.mark.parametrize("day", [date(2026, 11, 25), date(2028, 2, 29)])
def test_the_same_day_gives_the_same_shop_and_nothing_lies_ahead_but_absences(day, tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        write_shop(tmp_path / name, day)
    files = sorted(
        path.relative_to(tmp_path / "a") for path in (tmp_path / "a").rglob("*") if path.is_file()
    )
    assert len(files) > 20
    for path in files:
        assert (tmp_path / "a" / path).read_bytes() == (tmp_path / "b" / path).read_bytes()
    for path in (tmp_path / "a").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                assert row.get("recorded_at", "")[:10] <= str(day), (path.name, row)
                assert row.get("on", "") <= str(day), (path.name, row)


def test_the_shop_is_alive_whenever_it_is_loaded(time_machine):
    """On a day that few years have; on the day of the other tests it is looked at in
    test_demo_shop.py.
    """
    day = date(2028, 2, 29)
    time_machine.move_to(datetime(day.year, day.month, day.day, 12, tzinfo=UTC))
    demo()
    told = who_may([LevelAsked("air-spring", day, timezone.now(), {})])[0]
    standings = {person["login"]: person["standing"] for person in told["people"]}
    assert {who for who, standing in standings.items() if standing == "alone"} >= {
        "bo",
        "cai",
        "dot",
        "eli",
        "lou",
    }
    assert {standings[who] for who in ("fay", "gus", "hal", "kit")} == {"no"}
