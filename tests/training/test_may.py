"""Does `manage.py may` answer programs and people, and say plainly what it does not understand?"""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from tests.training.shop import NOW, make_ready
from training.keeping import head


def may(*args, **options):
    out = io.StringIO()
    call_command("may", *args, stdout=out, **options)
    return out.getvalue()


def test_programs_get_the_answer_in_the_agreed_form(shop):
    told = json.loads(may("air-spring", format="json"))
    assert set(told) == {"level", "on", "known_at", "variant", "people", "book_head"}
    assert (told["level"], told["on"], told["known_at"]) == ("air-spring", "2026-11-25", "2026-11-25T09:30:00Z")
    assert told["book_head"] == head()[1]
    for person in told["people"]:
        assert set(person) == {"login", "name", "workshop", "standing", "reasons", "lapses_on", "lapses_because", "next"}
        assert person["standing"] in {"alone", "watched", "no"}
        assert bool(person["reasons"]) == (person["standing"] != "alone")
        assert all(set(reason) == {"code", "text", "evidence"} for reason in person["reasons"])
        assert all(set(step) == {"code", "text"} for step in person["next"])
    sol = next(person for person in told["people"] if person["login"] == "sol")
    assert (sol["standing"], sol["lapses_on"], sol["lapses_because"]) == ("alone", "2028-01-06", "sign-off-ended")


def test_people_get_sentences(shop):
    said = may("air-spring")
    assert "alone   Sol Senior (lapses 6 Jan 2028)" in said
    assert "- No sign-off for Air-spring service yet." in said


def test_one_person_one_workshop_another_day_and_another_moment(shop):
    make_ready(shop, shop.trainee)
    assert may("air-spring", person="tilda").startswith("watched Tilda Trainee")
    assert may("air-spring", person="tilda", on="2026-11-24").startswith("no")
    assert may("air-spring", person="sol", known_at="2026-11-01T00:00:00Z").startswith("no")
    assert "Sol Senior" in may("air-spring", workshop="Test Workshop", variant=["ring=prong"])


def test_many_questions_are_answered_in_their_order(shop, tmp_path):
    asked = [{"level": "air-spring", "on": day, "known_at": "2026-11-25T10:00:00Z", "variant": {}} for day in ("2028-01-05", "2028-01-06")]
    (tmp_path / "ask.json").write_text(json.dumps(asked))
    told = json.loads(may(ask=str(tmp_path / "ask.json"), person="sol"))
    assert [(answer["on"], answer["people"][0]["standing"]) for answer in told] == [("2028-01-05", "alone"), ("2028-01-06", "no")]


@pytest.mark.parametrize(
    ("args", "options", "said"),
    [
        ((), {}, "Name one level, or give a file of questions with --ask."),
        (("damper",), {}, "There is no level 'damper'. There are: air-spring."),
        (("air-spring",), {"on": "tomorrow"}, "expected a date such as 2026-11-25"),
        (("air-spring",), {"known_at": "2026-11-25"}, "expected an instant with its offset"),
        (("air-spring",), {"variant": ["prong"]}, "'prong' is no option of a fork. Write it as ring=prong."),
        (("air-spring",), {"person": "zoe"}, "There is nobody with the login 'zoe'."),
        (("air-spring",), {"workshop": "Nowhere"}, "Nobody works in a workshop named 'Nowhere'."),
        ((), {"ask": "nowhere.json"}, "nowhere.json cannot be read as JSON"),
    ],
)
def test_what_is_not_understood_is_said(shop, args, options, said):
    with pytest.raises(CommandError) as refused:
        may(*args, **options)
    assert said in str(refused.value)


@pytest.mark.parametrize("content", ["{}", "[1]", "[{}]", "not JSON", '[{"level": 3}]', '[{"level": "air-spring", "on": 7}]'])
def test_a_file_of_questions_that_cannot_be_read_is_said(shop, tmp_path, content):
    (tmp_path / "ask.json").write_text(content)
    with pytest.raises(CommandError):
        may(ask=str(tmp_path / "ask.json"))


def test_the_moment_of_knowledge_is_now_unless_it_is_said(shop):
    assert json.loads(may("air-spring", format="json"))["known_at"] == NOW.isoformat().replace("+00:00", "Z")
