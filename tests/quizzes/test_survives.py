"""Does a sitting outlive a second tab, a second device, a changed clock and a killed server, and
does it keep its secrets?
"""

import datetime
import json
import os
import re
from decimal import Decimal

import pytest
from django.db import connections
from django.test import Client

from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.kinds.registry import read_kept
from quizzes.models import Answer, Sitting
from tests.forked import run_program
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    ALL,
    MATCH,
    ONE,
    POINT,
    TODAY,
    quiz_of_six,
    right_answer,
    wrong_answer,
)

pytestmark = pytest.mark.usefixtures("drawing")


@pytest.fixture
def sitting(db, book, trainee):
    """The trainee's sitting with a question of every kind."""
    return start_sitting(
        quiz=quiz_of_six(), person=trainee, pass_percent=75, now=NOW, seed=11, today=TODAY
    )


# What is said only after the end: why each option is right or wrong, the torque with its tolerance,
# the regions' sizes.
SAYS = [option["says"] for option in ONE["options"] + ALL["options"]] + [
    pair["says"] for pair in MATCH["pairs"]
]
SECRETS = [*SAYS, "Because of the oil.", "28 ± 2", "28 N·m", "28 Nm"]


def secrets_in(text):
    return [said for said in SECRETS if said in text]


def in_plain(text):
    """The page without its one-time words, which are random."""
    return re.sub(r'(nonce|csrfmiddlewaretoken" value)="[^"]*"', "", text)


def test_no_answer_of_the_site_holds_what_is_right_before_the_end(sitting, client, trainee):
    """Every page that the sitter can open, and every answer to a save, right and wrong; with the
    headers and cookies.
    """
    client.force_login(trainee)
    answers = {answer.place: answer for answer in sitting.answers.select_related("version")}
    pages = [
        f"/sitting/{sitting.pk}/",
        *(f"/sitting/{sitting.pk}/{place}/" for place in answers),
        "/",
        "/write-ups/",
    ]
    got = [client.get(page) for page in pages]
    got += [
        client.post(
            f"/sitting/{sitting.pk}/{place}/", {"answer": "1", "answer-1": "1", "cell": "1"}
        )
        for place in answers
    ]
    got += [client.get(page) for page in pages]
    got += [
        client.get(f"/sitting/{sitting.pk}/result/"),
        client.post(f"/sitting/{sitting.pk}/end/", {}),
    ]
    for response in got:
        whole = (
            response.content.decode() + json.dumps(dict(response.headers)) + str(response.cookies)
        )
        assert not secrets_in(whole)
        assert 'class="right"' not in whole
        # The numbers of the regions: none stands on a page but in the grid that lies over every
        # drawing alike.
        without_grid = re.sub(r'data-(across|down)="\d+"|value="\d+"', "", in_plain(whole))
        for region in POINT["regions"]:
            for name, number in region.items():
                assert not re.search(rf'\b{name[0]}\w*="{number}"', without_grid)


@pytest.mark.parametrize("kind", ["choose one", "match", "point at it", "put in order"])
def test_the_page_is_the_same_whichever_answer_is_right(
    sitting, client, trainee, kind, monkeypatch
):
    """The strongest form: another key behind the same words gives the same page, byte by byte."""
    from quizzes.models import QuestionVersion

    client.force_login(trainee)
    place = sitting.answers.get(version__kind=kind).place
    before = in_plain(client.get(f"/sitting/{sitting.pk}/{place}/").text)
    plain = QuestionVersion.content

    def other_key(version):
        asked = json.loads(json.dumps(version.asked))
        match version.kind:
            case "choose one":
                asked["options"] = [
                    option | {"right": not option["right"], "says": "x"}
                    for option in asked["options"]
                ]
            case "match":
                asked["spare"], asked["pairs"] = (
                    asked["spare"],
                    [
                        pair | {"says": "y", "right": other["right"]}
                        for pair, other in zip(
                            asked["pairs"], asked["pairs"][1:] + asked["pairs"][:1], strict=True
                        )
                    ],
                )
            case "point at it":
                asked["regions"] = [{"x": 99, "y": 99, "radius": 3}]
            case _:
                asked["steps"] = asked["steps"][::-1]
        return read_kept(version.kind, asked)

    assert other_key(sitting.answers.get(place=place).version) != plain(
        sitting.answers.get(place=place).version
    )
    monkeypatch.setattr(QuestionVersion, "content", other_key)
    after = in_plain(client.get(f"/sitting/{sitting.pk}/{place}/").text)
    if (
        kind == "match"
        # the partners on offer stand in the drawn order of the author's list, which has another
        # order now
    ):
        before, after = sorted(before.split()), sorted(after.split())
        before = [re.sub(r'value="\d"', "", word) for word in before]
        after = [re.sub(r'value="\d"', "", word) for word in after]
    assert sorted(after) == sorted(before) if kind == "match" else after == before


def test_the_overview_says_what_was_answered_and_leads_back_to_it(sitting, client, trainee):
    client.force_login(trainee)
    words = {
        "choose one": (0, "In short pulses."),
        "choose all": ([0, 2], "It shines."),
        "give the amount": ("27 N·m", "27 N·m"),
        "match": ([3, 1, 0], "Dust wiper: under the crown"),
        "point at it": ([20, 20], "a spot on the drawing"),
        "put in order": (
            ["guard-off", "open-chamber", "let-air-out", "guard-shaft"],
            "Take the guard off → Open the chamber → Let the air out",
        ),
    }
    places = dict(sitting.answers.values_list("version__kind", "place"))
    for kind, (given, _) in words.items():
        save_answer(sitting=sitting, place=places[kind], given=given, now=NOW)
    text = client.get(f"/sitting/{sitting.pk}/").text
    for kind, (_, said) in words.items():
        assert said in text, kind
        assert f'href="/sitting/{sitting.pk}/{places[kind]}/"' in text
    assert not secrets_in(text)


def test_two_devices_answer_one_sitting(sitting, trainee):
    phone, tablet = Client(), Client()
    for device in (phone, tablet):
        device.force_login(trainee)
    torque = sitting.answers.get(version__kind="give the amount").place
    one = sitting.answers.get(version__kind="choose one")
    phone.post(f"/sitting/{sitting.pk}/{torque}/", {"answer": "28 N·m"})
    tablet.post(f"/sitting/{sitting.pk}/{one.place}/", {"answer": "2"})
    assert 'value="28 N·m"' in tablet.get(f"/sitting/{sitting.pk}/{torque}/").text
    assert "2 of 6" in phone.get(f"/sitting/{sitting.pk}/").text
    tablet.post(f"/sitting/{sitting.pk}/{torque}/", {"answer": "27 N·m"})
    assert 'value="27 N·m"' in phone.get(f"/sitting/{sitting.pk}/{torque}/").text
    phone.post(f"/sitting/{sitting.pk}/end/", {"sure": "yes"})
    tablet.post(f"/sitting/{sitting.pk}/{torque}/", {"answer": "1 N·m"})
    assert Answer.objects.get(place=torque).given == "27 N·m"


@pytest.mark.parametrize("hours", [-30, -1, 1, 26])
def test_a_clock_that_was_put_changes_nothing_that_was_answered(
    sitting, client, trainee, time_machine, hours
):
    torque = sitting.answers.get(version__kind="give the amount").place
    save_answer(sitting=sitting, place=torque, given="28 N·m", now=NOW)
    for answer in sitting.answers.filter(
        version__kind__in=["choose one", "choose all"]
    ).select_related("version"):
        save_answer(sitting=sitting, place=answer.place, given=wrong_answer(answer), now=NOW)
    time_machine.move_to(NOW + datetime.timedelta(hours=hours), tick=False)
    client.force_login(trainee)  # a session does not outlive the night
    assert 'value="28 N·m"' in client.get(f"/sitting/{sitting.pk}/{torque}/").text
    client.post(f"/sitting/{sitting.pk}/end/", {"sure": "yes"})
    assert Sitting.objects.get().percent == Decimal("16.66")  # one of six, never rounded up


@pytest.mark.django_db(transaction=True)
def test_what_was_saved_is_there_after_the_connection_is_cut(drawing, settings, trainee):
    settings.RECORD_BOOK = "tests.procedures.book.record"
    sitting = start_sitting(
        quiz=quiz_of_six(), person=trainee, pass_percent=75, now=NOW, seed=11, today=TODAY
    )
    places = list(sitting.answers.order_by("place").values_list("place", flat=True))
    for place in places:
        device = Client()
        device.force_login(trainee)
        answer = Answer.objects.select_related("version").get(sitting=sitting, place=place)
        save_answer(sitting=sitting, place=place, given=right_answer(answer), now=NOW)
        # as when the server is killed: nothing is kept but what the database has
        connections.close_all()
        assert f"{place} of 6" in device.get(f"/sitting/{sitting.pk}/").text
    assert end_sitting(sitting=sitting, now=NOW, today=TODAY).percent == 100


def test_every_answer_is_kept_when_its_server_is_killed():
    """Signal 9 to a real server after each answer, on the database of this run, in one of its
    own.
    """
    done = run_program(["-m", "tests.quizzes.killed_server"], dict(os.environ))
    assert done.returncode == 0, done.stdout + done.stderr
    assert "4 kills, 4 of 4 answers kept" in done.stdout
