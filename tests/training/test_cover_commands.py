"""Do the commands tell cover and plan as their JSON promises, and refuse nonsense in a sentence?

What is expected follows from the rules of the small shop and the rota below; no outside source.
"""

import json
from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.put_in import put_in
from tests.training.shop import NOW, TODAY, stood_down, wanting_shop
from training.actions.rota import set_want
from training.cover.columns import NoAnswerError
from training.models import Job

pytestmark = pytest.mark.django_db
LATER = datetime(2100, 1, 1, tzinfo=UTC)  # whenever the entries of the tests are recorded


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """The shop's day is TODAY."""
    for place in ("cover", "plan"):
        monkeypatch.setattr(f"training.management.commands.{place}.today", lambda: TODAY)
        monkeypatch.setattr(f"training.management.commands.{place}.shop_now", lambda: LATER)


@pytest.fixture
def wanting(db, clock):
    return put_in(wanting_shop)


def told(command, *args):
    out = StringIO()
    call_command(command, *args, stdout=out)
    return out.getvalue()


def in_json(command, *args):
    return json.loads(told(command, *args, "--format", "json"))


def cover(*more):
    return in_json("cover", "--from", "2026-11-25", "--to", "2026-12-07", *more)


def plan(*more):
    return in_json("plan", "--from", "2026-11-30", "--weeks", "3", *more)


def test_the_cover_is_every_day_on_which_somebody_is_wanted(wanting):
    place = wanting.workshop.name
    row = {"workshop": place, "level": "air-spring", "want": 2, "have": ["sol"], "gap": 1}
    assert cover() == [{**row, "day": "2026-11-30"}, {**row, "day": "2026-12-07"}]
    (gone, _) = cover("--without", "sol", "tilda")
    assert (gone["have"], gone["gap"]) == ([], 2)


def test_the_usual_pace_keeps_somebody_in_practice(wanting):
    """The senior's practice runs out without jobs and goes on with them."""
    from dataclasses import replace

    from tests.training.shop import TERMS
    from training.actions.levels import set_level

    terms = replace(TERMS, practice_jobs=1, practice_months=10)
    set_level(name="air-spring", terms=terms, now=NOW, from_day=None)
    for back in (40, 80, 120):
        Job.objects.create(
            person=wanting.senior,
            level=wanting.level,
            happened_on=TODAY - timedelta(days=back),
            recorded_at=NOW,
            variant={},
        )
    span = ("--from", "2027-11-01", "--to", "2027-11-01")
    assert in_json("cover", *span)[0]["have"] == []
    assert in_json("cover", *span, "--pace", "none")[0]["have"] == []
    assert in_json("cover", *span, "--pace", "usual")[0]["have"] == ["sol"]
    # the jobs of the months before it are done too, not only those from its first day on
    weeks = ("--from", "2027-11-01", "--weeks", "2")
    assert in_json("plan", *weeks)["gap_before"] == 4
    assert in_json("plan", *weeks, "--pace", "usual")["gap_before"] == 2


def test_the_plan_is_told_line_by_line(wanting):
    found = plan()
    assert found == {
        "status": "optimal",
        "cost_hours": 0.5,  # a quarter of each for the signature
        "gap_before": 3,
        "gap_after": 1,
        "lines": [
            {
                "login": "tilda",
                "level": "air-spring",
                "kind": "train",
                "weeks": ["2026-11-30"],
                "hours": 0.5,
                "with": ["sol"],
                "closes": ["2026-12-07", "2026-12-14"],
            }
        ],
        "unmet": [
            {
                "workshop": wanting.workshop.name,
                "level": "air-spring",
                "day": "2026-11-30",
                "gap": 1,
                "why": "time",
            }
        ],
    }


def test_a_plan_may_begin_on_any_weekday(wanting):
    found = in_json("plan", "--from", "2026-11-26", "--weeks", "3")
    assert [line["weeks"] for line in found["lines"]] == [["2026-11-26"]]
    assert found["lines"][0]["closes"] == ["2026-12-07", "2026-12-14"]


def test_where_no_training_closes_a_gap_it_cannot(wanting):
    stood_down(person=wanting.senior, by=wanting.owner)
    found = plan()
    assert (found["status"], found["lines"]) == ("cannot", [])
    assert found["gap_before"] == found["gap_after"] == 6
    assert {one["why"] for one in found["unmet"]} == {"time"}


def test_nothing_missing_needs_nothing(wanting):
    set_want(workshop=wanting.workshop, level=wanting.level, counts={"mon": 1}, by=wanting.owner)
    assert plan() == {
        "status": "optimal",
        "cost_hours": 0,
        "gap_before": 0,
        "gap_after": 0,
        "lines": [],
        "unmet": [],
    }


def test_both_print_a_table(wanting):
    lines = told("cover", "--from", "2026-11-25", "--to", "2026-12-07").splitlines()
    assert lines[0].split() == ["day", "workshop", "level", "wanted", "alone", "missing"]
    assert lines[2].startswith("2026-11-30")
    assert lines[2].split()[-4:] == ["air-spring", "2", "sol", "1"]
    said = told("plan", "--from", "2026-11-30", "--weeks", "3")
    assert "Days short: 3 without a plan, 1 with it." in said
    assert "tilda" in said
    assert "Too few people can be ready by then." in said


def test_a_shop_that_wants_nothing_is_told(shop):
    assert "Set how many people you need" in told(
        "cover", "--from", "2026-11-25", "--to", "2026-11-26"
    )
    with pytest.raises(CommandError, match="does not know how many people you need"):
        plan()


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--from", "2026-12-07", "--to", "2026-12-06"), "is before the first"),
        (("--from", "2026-12-07", "--to", "2036-12-06"), "two years at most"),
        (("--from", "tomorrow", "--to", "2026-12-06"), "'tomorrow' is not a day"),
        (("--from", "2026-02-30", "--to", "2026-12-06"), "is not a day. Write it like 2026-11-25"),
        (("--to", "2026-12-06"), "--from"),
        (("--from", "2026-12-06"), "--to"),
        (
            ("--from", "2026-12-06", "--to", "2026-12-07", "--without", "zoe"),
            "nobody with the login “zoe”",
        ),
        (("--from", "2026-12-06", "--to", "2026-12-07", "--pace", "fast"), "invalid choice"),
    ],
)
def test_nonsense_about_the_cover_is_refused(wanting, args, said):
    with pytest.raises(CommandError, match=said):
        told("cover", *args)


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--from", "2026-11-24", "--weeks", "3"), "24 Nov 2026 is over"),
        (
            ("--from", "2026-11-30", "--weeks", "0"),
            "0 is not possible. A plan is for 1 to 26 weeks",
        ),
        (
            ("--from", "2026-11-30", "--weeks", "27"),
            "27 is not possible. A plan is for 1 to 26 weeks",
        ),
        (
            ("--from", "2026-11-30", "--weeks", "-1"),
            "-1 is not possible. A plan is for 1 to 26 weeks",
        ),
        (("--from", "2026-11-30", "--weeks", "x"), "invalid int value"),
        (("--from", "2026-13-30", "--weeks", "3"), "'2026-13-30' is not a day"),
        (("--from", "9999-12-31", "--weeks", "3"), "31 Dec 9999 is too far away"),
        (("--from", "2026-11-30", "--weeks", "3", "--own", "25"), "0 to 8 hours"),
        (("--from", "2026-11-30", "--weeks", "3", "--own", "nan"), "0 to 8 hours"),
        (("--from", "2026-11-30", "--weeks", "3", "--at-once", "0"), "1 to 6 levels"),
    ],
)
def test_nonsense_about_the_plan_is_refused(wanting, args, said):
    with pytest.raises(CommandError, match=said):
        told("plan", *args)


def test_no_answer_in_time_is_a_sentence(wanting, monkeypatch):
    def never(*_):
        raise NoAnswerError

    monkeypatch.setattr("training.reports.plan.best_plan", never)
    with pytest.raises(CommandError, match="Ask for fewer weeks"):
        plan()
