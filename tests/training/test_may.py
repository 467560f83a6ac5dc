"""Does `manage.py may` answer programs and people, and say plainly what it does not understand?"""

import datetime
import io
import json

import pytest
from django.core.management import CommandError, call_command

from tests.training.factories import WorkshopFactory
from tests.training.shop import LONG_AGO, NOW, TODAY, found, make_ready
from training.actions.rota import add_absence, set_shift
from training.records.keeping import head


def may(*args, **options):
    out = io.StringIO()
    call_command("may", *args, stdout=out, **options)
    return out.getvalue()


def test_programs_get_the_answer_in_the_agreed_form(shop):
    told = json.loads(may("air-spring", format="json"))
    assert set(told) == {"level", "on", "known_at", "variant", "people", "book_head"}
    assert (told["level"], told["on"], told["known_at"]) == (
        "air-spring",
        "2026-11-25",
        "2026-11-25T09:30:00Z",
    )
    assert told["book_head"] == head()[1]
    for person in told["people"]:
        assert set(person) == {
            "login",
            "name",
            "workshop",
            "standing",
            "at_work",
            "reasons",
            "lapses_on",
            "lapses_because",
            "next",
        }
        assert person["standing"] in {"alone", "watched", "no"}
        assert bool(person["reasons"]) == (person["standing"] != "alone")
        assert all(set(reason) == {"code", "text", "evidence"} for reason in person["reasons"])
        assert all(set(step) == {"code", "text"} for step in person["next"])
    sol = next(person for person in told["people"] if person["login"] == "sol")
    assert (sol["standing"], sol["lapses_on"], sol["lapses_because"]) == (
        "alone",
        "2028-01-06",
        "sign-off-ended",
    )


def test_people_get_sentences(shop):
    said = may("air-spring")
    assert "alone   Sol Senior, not on the rota (until 5 Jan 2028)" in said
    assert "- Not signed off for Air-spring service yet." in said


@pytest.fixture
def on_rota(shop):
    """Who works when: sol on Wednesdays, away on 2 Dec; ora on Wednesdays elsewhere, sent by hand;
    of the others the rota says nothing.
    """
    elsewhere = WorkshopFactory(name="Elsewhere")
    for person, place in ((shop.senior, shop.workshop), (shop.other_senior, elsewhere)):
        set_shift(person=person, workshop=place, weekdays=["wed"], first=LONG_AGO, by=shop.owner)
    add_absence(person=shop.senior, first=DECEMBER, until=DECEMBER, by=shop.owner)
    return shop


DECEMBER = TODAY + datetime.timedelta(days=7)


def presence_of(told):
    return {person["login"]: person["at_work"] for person in told["people"]}


def test_beside_each_standing_stands_who_is_at_work_and_it_changes_none(shop, on_rota):
    there = json.loads(may("air-spring", format="json"))
    away = json.loads(may("air-spring", format="json", on=DECEMBER.isoformat()))
    sol, other, ted = shop.senior.login, shop.other_senior.login, shop.trainee.login
    assert [presence_of(there)[who] for who in (sol, other, ted)] == [True, True, None]
    assert [presence_of(away)[who] for who in (sol, other, ted)] == [False, True, None]
    assert [{**one, "at_work": 0} for one in there["people"]] == [
        {**one, "at_work": 0} for one in away["people"]
    ]


def test_a_question_about_one_workshop_asks_who_is_at_work_in_that_one(shop, on_rota, tmp_path):
    asked = [{"level": "air-spring", "on": TODAY.isoformat()}]
    (tmp_path / "ask.json").write_text(json.dumps(asked))
    everywhere = json.loads(may(ask=str(tmp_path / "ask.json")))[0]
    here = json.loads(may(ask=str(tmp_path / "ask.json"), workshop="Test Workshop"))[0]
    other = shop.other_senior.login
    assert (presence_of(everywhere)[other], presence_of(here)[other]) == (True, False)
    assert presence_of(here)[shop.senior.login] is True


def test_those_who_may_and_are_there_are_named_first(shop, on_rota):
    found(shop.mechanic, shop.level, shop.owner)
    set_shift(
        person=shop.mechanic,
        workshop=shop.workshop,
        weekdays=["wed"],
        first=LONG_AGO,
        by=shop.owner,
    )
    said = may("air-spring", on=DECEMBER.isoformat()).splitlines()
    assert [line.partition(" (")[0] for line in said if line.startswith("alone")] == [
        "alone   Mika Mechanic, at work",
        "alone   Sol Senior, away",
    ]


def test_a_day_on_which_the_shop_is_closed_is_named_as_that(shop, on_rota):
    closed = "The shop is closed: nobody on the rota works on a Sunday."
    assert may("air-spring", on="2026-11-29").startswith(closed)
    assert closed not in may("air-spring")


def test_one_person_one_workshop_another_day_and_another_moment(shop):
    make_ready(shop, shop.trainee)
    assert may("air-spring", person="tilda").startswith("watched Tilda Trainee")
    assert may("air-spring", person="tilda", on="2026-11-24").startswith("no")
    assert may("air-spring", person="sol", known_at="2026-11-01T00:00:00Z").startswith("no")
    assert "Sol Senior" in may("air-spring", workshop="Test Workshop", variant=["ring=prong"])


def test_many_questions_are_answered_in_their_order(shop, tmp_path):
    asked = [
        {"level": "air-spring", "on": day, "known_at": "2026-11-25T10:00:00Z", "variant": {}}
        for day in ("2028-01-05", "2028-01-06")
    ]
    (tmp_path / "ask.json").write_text(json.dumps(asked))
    told = json.loads(may(ask=str(tmp_path / "ask.json"), person="sol"))
    assert [(answer["on"], answer["people"][0]["standing"]) for answer in told] == [
        ("2028-01-05", "alone"),
        ("2028-01-06", "no"),
    ]


@pytest.mark.parametrize(
    ("args", "options", "said"),
    [
        ((), {}, "Name one level, or give a file of questions with --ask."),
        (("damper",), {}, "There is no level “damper”. Choose one of these: air-spring."),
        (("air-spring",), {"on": "tomorrow"}, "expected a date such as 2026-11-25"),
        (("air-spring",), {"known_at": "2026-11-25"}, "expected an instant with its offset"),
        (
            ("air-spring",),
            {"variant": ["prong"]},
            "“prong” is no option of a fork. Write it as ring=prong.",
        ),
        (("air-spring",), {"person": "zoe"}, "There is nobody with the login “zoe”."),
        (("air-spring",), {"workshop": "Nowhere"}, "Nobody works in a workshop named “Nowhere”."),
        ((), {"ask": "nowhere.json"}, "nowhere.json cannot be read as JSON"),
        (
            ("air-spring",),
            {"ask": "nowhere.json"},
            "Name one level, or give a file of questions with --ask.",
        ),
        (("air-spring",), {"on": "2026-02-29"}, "expected a date such as 2026-11-25"),
        (("air-spring",), {"variant": ["ring=prong", "ring=eyelet"]}, "“ring” is named twice."),
        # no day in every time zone: the last and the first instant that the calendar of the
        # language knows
        (
            ("air-spring",),
            {"known_at": "9999-12-31T23:59:59-23:59"},
            "expected an instant with its offset",
        ),
        (
            ("air-spring",),
            {"known_at": "0001-01-01T00:00:00+23:59"},
            "expected an instant with its offset",
        ),
    ],
)
def test_what_is_not_understood_is_said(shop, args, options, said):
    with pytest.raises(CommandError) as refused:
        may(*args, **options)
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("{}", "ask.json: expected a list such as"),
        ("[1]", "ask.json: expected a list such as"),
        ("not JSON", "ask.json cannot be read as JSON"),
        ("[" * 100_000, "ask.json cannot be read as JSON"),
        ("[{}]", "In question 1 of ask.json the level is missing."),
        (
            '[{"level": "air-spring", "day": "2026-11-25"}]',
            "In question 1 of ask.json “day” is not known. Use level, on, known_at, variant.",
        ),
        ('[{"level": 3}]', "In question 1 of ask.json, level is a name"),
        ('[{"level": "air-spring"}, {"level": "damper"}]', "There is no level “damper”."),
        ('[{"level": "air-spring", "variant": {"ring": ["prong"]}}]', "variant an object such as"),
        ('[{"level": "air-spring", "variant": "ring=prong"}]', "variant an object such as"),
        ('[{"level": "air-spring", "on": 7}]', "a day or instant is no text. Write it in quotes"),
        (
            '[{"level": "air-spring", "known_at": true}]',
            "a day or instant is no text. Write it in quotes",
        ),
        (
            '[{"level": "air-spring", "on": "25.11.2026"}]',
            "In question 1 of ask.json a day or instant cannot be read",
        ),
    ],
)
def test_a_file_of_questions_that_cannot_be_read_is_said(shop, tmp_path, content, said):
    (tmp_path / "ask.json").write_text(content)
    with pytest.raises(CommandError) as refused:
        may(ask=str(tmp_path / "ask.json"))
    assert said in str(refused.value)


def test_no_questions_get_no_answers(shop, tmp_path):
    (tmp_path / "ask.json").write_text("[]")
    assert json.loads(may(ask=str(tmp_path / "ask.json"))) == []


@pytest.mark.parametrize("on", ["0001-01-01", "9999-12-31"])
def test_the_ends_of_the_calendar_are_days_like_others(shop, on):
    told = json.loads(may("air-spring", on=on, format="json"))
    assert {person["standing"] for person in told["people"]} == {"no"}


def test_one_asking_of_many_questions_equals_one_asking_each(shop, tmp_path):
    make_ready(shop, shop.trainee)
    days = ("2026-11-24", "2026-11-25", "2028-06-01")
    asked = [{"level": "air-spring", "on": day, "known_at": "2026-11-25T10:00:00Z"} for day in days]
    (tmp_path / "ask.json").write_text(json.dumps(asked))
    alone = [
        json.loads(may("air-spring", on=day, known_at="2026-11-25T10:00:00Z", format="json"))
        for day in days
    ]
    assert json.loads(may(ask=str(tmp_path / "ask.json"))) == alone


def test_the_moment_of_knowledge_is_now_unless_it_is_said(shop):
    assert json.loads(may("air-spring", format="json"))["known_at"] == NOW.isoformat().replace(
        "+00:00", "Z"
    )
