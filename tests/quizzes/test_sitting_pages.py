"""What does somebody see of a sitting, and what does the browser never get?"""

import datetime
import re
from html import unescape

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import Answer, Sitting
from quizzes.reports.showing import heading_and_rest
from tests.procedures.factories import NOW, RevisionFactory
from tests.quizzes.factories import (
    ALL,
    ONE,
    ORDER,
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    right_answer,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]
SAYS = [option["says"] for option in ONE["options"] + ALL["options"]] + [
    "Because of the oil.",
    "28 ± 2",
]


@pytest.fixture
def visit(client, trainee, sitting):
    """Opens a page of the trainee's sitting, and posts to one."""
    client.force_login(trainee)

    def opened(name, *args, data=None, **query):
        url = reverse(f"quizzes:{name}", args=[sitting.pk, *args], query=query or None)
        return client.get(url) if data is None else client.post(url, data)

    return opened


def at(answer, thing):
    """The place (from 1) at which an option or a step is shown."""
    return answer.shown["order"].index(thing) + 1


def end(sitting):
    return end_sitting(sitting=sitting, now=NOW, today=TODAY)


def test_the_overview_says_which_are_answered(visit, sitting, answers):
    save_answer(sitting=sitting, place=answers["one"].place, given=0, now=NOW)
    got = visit("sitting")
    assert "1 of 4" in got.text
    assert got.text.count("<b>open</b>") == 3


@pytest.mark.parametrize("name", ["one", "all", "order", "torque"])
def test_a_question_page_shows_the_question_and_nothing_of_the_answer(visit, answers, name):
    text = visit("question", answers[name].place).text
    assert f"Stem of {name}?" in text
    for said in SAYS:
        assert said not in text
    assert "critical" not in text.lower()
    form = re.search(r"(?s)<form[^>]*/sitting/.*?</form>", text)[0]
    # In what the form carries, only places in the order shown: no ids of steps, no places of the
    # author's list.
    assert not re.search(r"let-air-out|guard-shaft|open-chamber", form)
    values = [int(value) for value in re.findall(r'name="answer" value="(\d+)"', form)]
    assert values in ([], list(range(1, len(values) + 1)))


def test_the_right_option_is_not_always_at_one_place(quiz, trainee):
    places = set()
    for seed in range(20):
        Answer.objects.all().delete()
        Sitting.objects.all().delete()
        sitting = start_sitting(
            quiz=quiz, person=trainee, pass_percent=75, now=NOW, seed=seed, today=TODAY
        )
        places.add(at(sitting.answers.get(version__kind="choose one"), 0))
    assert places == {1, 2, 3}


def test_each_kind_is_answered_by_what_was_shown(visit, answers):
    one, several, order, torque = (answers[name] for name in ("one", "all", "order", "torque"))
    visit("question", one.place, data={"answer": at(one, 2)})
    visit("question", several.place, data={"answer": [at(several, 2), at(several, 0)]})
    wanted = ["let-air-out", "guard-shaft", "open-chamber", "guard-off"]
    visit("question", order.place, data={"answer": [at(order, step) for step in wanted]})
    visit("question", torque.place, data={"answer": "28 N·m"})
    assert dict(Answer.objects.values_list("version__question__name", "given")) == {
        "one": 2,
        "all": [0, 2],
        "order": wanted,
        "torque": "28 N·m",
    }


def test_an_answer_given_is_shown_again(visit, sitting, answers):
    for name, given in (("one", 1), ("all", [1, 2]), ("torque", "<b> & none")):
        save_answer(sitting=sitting, place=answers[name].place, given=given, now=NOW)
    assert re.search(
        rf'value="{at(answers["one"], 1)}"[^>]*checked',
        visit("question", answers["one"].place).text,
    )
    assert visit("question", answers["all"].place).text.count(" checked") == 2
    assert 'value="&lt;b&gt; &amp; none"' in visit("question", answers["torque"].place).text
    save_answer(
        sitting=sitting, place=answers["order"].place, given=right_answer(answers["order"]), now=NOW
    )
    text = visit("question", answers["order"].place).text
    titles = ["Let the air out", "Guard the shaft", "Open the chamber", "Take the guard off"]
    assert re.findall(r'data-name="([^"]+)"', text) == titles


def test_saving_goes_on_to_the_next_open_question_and_at_last_to_the_overview(
    visit, sitting, answers
):
    for answer in answers.values():
        if answer.place in (1, 4):
            continue
        save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=NOW)
    by_place = {answer.place: answer for answer in answers.values()}

    def given(answer):
        right = right_answer(answer)
        if isinstance(right, list):
            return [at(answer, thing) for thing in right]
        return right if isinstance(right, str) else at(answer, right)

    assert (
        visit("question", 4, data={"answer": given(by_place[4])}).url == f"/sitting/{sitting.pk}/1/"
    )
    assert (
        visit("question", 1, data={"answer": given(by_place[1])}).url == f"/sitting/{sitting.pk}/"
    )


def test_up_and_down_move_a_step_without_a_script_and_save_each_move(visit, answers):
    answer = answers["order"]
    moved = visit("question", answer.place, data={"answer": [1, 2, 3, 4], "move": "down-1"})
    assert moved.status_code == 302
    assert moved.url == f"/sitting/{answer.sitting_id}/{answer.place}/?to=2&to=1&to=3&to=4#order"
    rows = re.findall(
        r'name="answer" value="(\d)"', visit("question", answer.place, to=[2, 1, 3, 4]).text
    )
    assert rows == ["2", "1", "3", "4"]
    assert visit(
        "question", answer.place, data={"answer": [2, 1, 3, 4], "move": "up-2"}
    ).url.endswith("?to=2&to=1&to=3&to=4#order")
    answer.refresh_from_db()
    assert [at(answer, step) for step in answer.given] == [2, 1, 3, 4]


@pytest.mark.parametrize(
    ("name", "given", "word"),
    [
        ("one", [], "Choose one of the options"),
        ("one", ["9"], "Select a valid choice"),
        ("all", [], "Choose at least one"),
        ("order", ["1", "1", "2", "3"], "Put every step that is shown"),
        ("order", ["1"], "Put every step that is shown"),
        ("torque", [""], "Write a number with its unit"),
        ("torque", ["7" * 300], "at most 200 characters"),
    ],
)
def test_what_can_be_no_answer_is_told_and_not_saved(visit, answers, name, given, word):
    got = visit("question", answers[name].place, data={"answer": given})
    assert got.status_code == 200
    assert word in got.text
    answers[name].refresh_from_db()
    assert answers[name].given is None


@pytest.mark.parametrize("go", ["back", "all"])
def test_leaving_a_question_by_any_button_saves_what_was_chosen(visit, answers, go):
    answer = answers["one"]
    got = visit("question", answer.place, data={"answer": at(answer, 1), "go": go})
    back = f"{answer.place - 1}/" if go == "back" and answer.place > 1 else ""
    assert got.url == f"/sitting/{answer.sitting_id}/{back}"
    answer.refresh_from_db()
    assert answer.given == 1


@pytest.mark.parametrize("name", ["one", "all", "torque", "order"])
def test_leaving_a_question_that_was_not_touched_leaves_it_open(visit, answers, name):
    place = answers[name].place
    data = {"answer": [1, 2, 3, 4] if name == "order" else [], "go": "all"}
    assert visit("question", place, data=data).url == f"/sitting/{answers[name].sitting_id}/"
    answers[name].refresh_from_db()
    assert answers[name].given is None


def test_leaving_with_what_cannot_be_saved_says_so_first(visit, answers):
    place = answers["torque"].place
    got = visit("question", place, data={"answer": "28", "go": "all"})
    assert (got.status_code, 'value="28"' in got.text) == (200, True)
    assert "Leave without saving this" in got.text


def test_next_in_an_old_window_does_not_replace_a_newer_answer_unseen(visit, answers):
    """Two windows show the question open; one answers it, then Next is pressed in the other."""
    answer = answers["one"]
    visit("question", answer.place, data={"answer": at(answer, 0), "seen": "", "go": "next"})
    old = {"answer": at(answer, 2), "seen": "", "go": "next"}
    got = visit("question", answer.place, data=old)
    assert got.status_code == 200
    assert "in another window" in got.text
    answer.refresh_from_db()
    assert answer.given == 0
    seen = re.search(r'name="seen" value="([^"]+)"', got.text)[1]
    got = visit("question", answer.place, data=old | {"seen": unescape(seen)})
    assert got.status_code == 302
    answer.refresh_from_db()
    assert answer.given == 2


def test_the_same_answer_from_an_old_window_goes_on(visit, answers):
    answer = answers["one"]
    for _ in range(2):
        got = visit("question", answer.place, data={"answer": at(answer, 0), "seen": ""})
        assert got.status_code == 302


def test_the_question_is_the_heading(visit, answers):
    for name in ("one", "all", "order", "torque"):
        text = visit("question", answers[name].place).text
        assert re.search(rf"<h1[^>]*>Stem of {name}\?</h1>", text)


@pytest.mark.parametrize(
    ("stem", "asks", "rest"),
    [
        ("What *now*?", "What *now*?", ""),
        ("# What now?", "What now?", ""),
        ("![A ring](drawing:x)\n\nWhat now?", "What now?", "![A ring](drawing:x)"),
        ("A ring.\nWhat now?\n\n- one\n- two", "A ring.\nWhat now?", "- one\n- two"),
        (f"Short. {'Long ' * 40}end.", "Short.", f"{'Long ' * 40}end."),
        ("- only\n- a list", "- only", "- only\n- a list"),
        ("", "", ""),
    ],
)
def test_a_stem_is_parted_into_what_asks_and_the_rest(stem, asks, rest):
    assert heading_and_rest(stem) == (asks, rest)


def test_what_failed_comes_first_with_its_step_and_the_rest_is_folded(visit, sitting, answers):
    for name in ("one", "all", "order", "torque"):
        given = 1 if name == "one" else right_answer(answers[name])
        save_answer(sitting=sitting, place=answers[name].place, given=given, now=NOW)
    end(sitting)
    before, folded = visit("result").text.split('<details class="part"', 1)[0], visit("result").text
    assert "Stem of one?" in before
    assert "Go to step" in before
    assert "Stem of torque?" not in before
    assert "3 questions right at once" in folded


def test_ending_with_open_questions_asks_first(visit, sitting):
    got = visit("end", data={})
    assert "4 of 4 questions are not answered yet" in got.text
    assert Sitting.objects.get(pk=sitting.pk).is_open()
    assert visit("end", data={"sure": "yes"}).url == f"/sitting/{sitting.pk}/result/"
    assert not Sitting.objects.get(pk=sitting.pk).is_open()


def test_an_ended_sitting_takes_no_answer_from_a_tab_left_open(visit, sitting, answers):
    end(sitting)
    place = answers["torque"].place
    got = visit("question", place, data={"answer": "28 N·m"})
    assert got.url == f"/sitting/{sitting.pk}/result/"
    assert "has ended" in visit("result").text
    answers["torque"].refresh_from_db()
    assert answers["torque"].given is None
    for again in (visit("sitting"), visit("question", place), visit("end", data={"sure": "yes"})):
        assert again.url == f"/sitting/{sitting.pk}/result/"


def test_the_result_says_what_was_right_why_and_where_it_stands(visit, sitting, answers):
    save_answer(sitting=sitting, place=answers["one"].place, given=1, now=NOW)
    save_answer(sitting=sitting, place=answers["all"].place, given=[0], now=NOW)
    save_answer(
        sitting=sitting,
        place=answers["order"].place,
        now=NOW,
        given=["guard-shaft", "open-chamber", "let-air-out", "guard-off"],
    )
    save_answer(sitting=sitting, place=answers["torque"].place, given="28 bar", now=NOW)
    end(sitting)
    text = visit("result").text
    for word in (
        "not passed",
        "<dd>12 %</dd>",  # 12.5 per cent, whole and rounded down
        "That sprays oil mist.",
        "partly right (50 % of the marks)",
        "Because of the oil.",
        "“Open the chamber”: this opens the air chamber while it is not safe.",
        "28 bar” is a pressure, but the question asks for a torque",
        "28 ± 2 N·m",
        "1 critical question was not right",
        "#step-let-air-out",
    ):
        assert word in text, word


def test_the_result_links_to_each_step_where_it_is_shown(visit, sitting, answers, client):
    VersionFactory(question=answers["one"].version.question, number=2, steps=["walk-ring"])
    sitting.answers.all().delete()
    sitting.delete()
    sitting = start_sitting(
        quiz=sitting.quiz, person=sitting.person, pass_percent=75, now=NOW, today=TODAY
    )
    for answer in sitting.answers.select_related("version"):
        save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=NOW)
    end(sitting)
    links = re.findall(
        r'href="(/write-ups/[^"]+)#(step-[^"]+)"', client.get(f"/sitting/{sitting.pk}/result/").text
    )
    assert {anchor for _, anchor in links} == {
        f"step-{step}" for step in [*ORDER["steps"], "walk-ring"]
    }
    for page, anchor in links:
        assert f'id="{anchor}"' in client.get(unescape(page)).text


def test_a_pass_says_so(visit, sitting):
    for answer in sitting.answers.select_related("version"):
        save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=NOW)
    end(sitting)
    text = visit("result").text
    assert "Air-spring service: passed" in text
    assert "100 %" in text


def test_there_is_no_result_before_the_end(visit, sitting):
    assert visit("result").url == f"/sitting/{sitting.pk}/"


def test_an_outdated_sitting_says_so_and_can_not_be_ended(visit, sitting, quiz):
    writeup = quiz.writeups.get()
    RevisionFactory(
        writeup=writeup,
        number=2,
        text=writeup.revisions.get().text,
        released=True,
        asks="show again",
        released_on=datetime.date(2026, 11, 1),
    )
    assert "no longer counts" in visit("sitting").text
    assert "no longer counts" in visit("end", data={"sure": "yes"}).text


@pytest.mark.parametrize("person", ["mechanic", "senior", "owner"])
@pytest.mark.parametrize("ended", [False, True])
def test_a_sitting_belongs_to_its_sitter_and_its_result_also_to_those_who_see_results(
    request, client, sitting, answers, person, ended, monkeypatch
):
    somebody = request.getfixturevalue(person)
    client.force_login(somebody)
    if ended:
        end(sitting)
    base = f"/sitting/{sitting.pk}/"
    assert client.get(base).status_code == 404
    assert client.get(base + "1/").status_code == 404
    assert client.post(base + "1/", {"answer": "1"}).status_code == 404
    assert client.post(base + "end/", {"sure": "yes"}).status_code == 404
    sees = somebody.has_perm("quizzes.see_results") and ended
    assert client.get(base + "result/").status_code == (200 if sees else 404)
    assert not Answer.objects.filter(given__isnull=False).exists()


def test_nobody_sees_anything_before_signing_in(client, sitting):
    assert client.get(f"/sitting/{sitting.pk}/result/").url.startswith(reverse("login"))


def test_an_unknown_place_is_not_found(visit):
    assert visit("question", 99).status_code == 404


def test_writes_are_posts(client, trainee, sitting):
    client.force_login(trainee)
    assert client.get(f"/sitting/{sitting.pk}/end/").status_code == 405
    assert client.post(f"/sitting/{sitting.pk}/").status_code == 405


def test_pages_take_the_same_number_of_queries_for_a_long_sitting(client, trainee):
    client.force_login(trainee)
    counts = []
    for many in (2, 40):
        writeup = ReleasedFactory()
        for _ in range(many):
            VersionFactory(question__writeup=writeup, order=True)
        quiz = QuizFactory(writeups=[writeup], size=many)
        sitting = start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=NOW, today=TODAY)
        seen = []
        for url in ("", "1/"):
            with CaptureQueriesContext(connection) as queries:
                assert client.get(f"/sitting/{sitting.pk}/{url}").status_code == 200
            seen.append(len(queries))
        for answer in sitting.answers.all():
            save_answer(sitting=sitting, place=answer.place, given=answer.shown["order"], now=NOW)
        end(sitting)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(f"/sitting/{sitting.pk}/result/").status_code == 200
        counts.append([*seen, len(queries)])
    assert counts[0] == counts[1]


def test_a_sitting_counts_on_the_day_it_is_in_the_workshop(client, trainee, sitting):
    # The test workshop is in Vienna, an hour ahead of UTC in November.
    with time_machine.travel(
        datetime.datetime(2026, 11, 25, 23, 30, tzinfo=datetime.UTC), tick=False
    ):
        client.force_login(trainee)
        client.post(f"/sitting/{sitting.pk}/end/", {"sure": "yes"})
    assert Sitting.objects.get().happened_on == datetime.date(2026, 11, 26)
