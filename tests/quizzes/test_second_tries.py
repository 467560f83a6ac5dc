"""Does a critical question answered wrong get one second try at once, about the same step, and what
does it count for?
"""

import datetime

import pytest
from django.db import IntegrityError, connections, transaction
from django.urls import reverse

from procedures.models.booking import newest_version
from procedures.records.refused import Refused
from quizzes.actions import second_tries
from quizzes.actions.second_tries import open_second_tries
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import Answer, Sitting
from quizzes.records.retry import missed_steps
from quizzes.reports.results import result_page
from quizzes.reports.statistics import quiz_figures
from tests.procedures.book import body_of
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    right_answer,
    wrong_answer,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]
LATER = NOW + datetime.timedelta(minutes=5)
STEP, OTHER = "let-air-out", "guard-shaft"
FOUND: list[int] = []  # the seed that draws what `sitting` asks, once it is known


@pytest.fixture
def quiz():
    """A quiz of four from six: a critical question with two others about its step, of which the
    sitting asks none, and three about another step.
    """
    writeup = ReleasedFactory()
    for name, critical, step in (
        ("critical", True, STEP),
        ("again", True, STEP),
        ("beside", False, STEP),
        *((f"other-{place}", False, OTHER) for place in range(3)),
    ):
        VersionFactory(
            question__writeup=writeup, question__name=name, critical=critical, steps=[step]
        )
    return QuizFactory(writeups=[writeup], size=4)


@pytest.fixture
def sitting(quiz, trainee):
    """A sitting that asks `critical` and the three others, drawn by the first seed that does."""
    for seed in (*FOUND, *range(400)):
        with transaction.atomic():
            found = begin(quiz, trainee, seed)
            names = {one.version.question.name for one in asked(found)}
            if names == {"critical", "other-0", "other-1", "other-2"}:
                FOUND[:] = [seed]
                return found
            transaction.set_rollback(True)
    raise AssertionError("No seed draws these four.")


def begin(quiz, person, seed=1):
    """Half of the critical questions come, so that one is left for the second try."""
    rules = quiz.rules
    if rules.critical_percent != 50:
        rules.pk, rules.critical_percent = None, 50
        rules.save(force_insert=True)
        quiz.read_anew()
    return start_sitting(quiz=quiz, person=person, pass_percent=75, now=NOW, seed=seed, today=TODAY)


def asked(sitting):
    return list(sitting.answers.select_related("version__question").order_by("place"))


def of(sitting, name="critical"):
    return sitting.answers.select_related("version__question").get(version__question__name=name)


def give(sitting, answer, how, **more):
    return save_answer(sitting=sitting, place=answer.place, given=how(answer), now=LATER, **more)


def second_of(sitting):
    return sitting.answers.filter(second_to__isnull=False).first()


def answer_others(sitting, how=right_answer):
    for answer in asked(sitting):
        if answer.version.question.name.startswith("other"):
            give(sitting, answer, how)


def end(sitting, **more):
    return end_sitting(sitting=sitting, now=LATER, today=TODAY, **more)


def test_a_wrong_answer_to_a_critical_question_opens_another_one_about_the_same_step(sitting):
    first = of(sitting)
    give(sitting, first, wrong_answer)
    second = of(sitting, "again")  # a critical one comes before one that is not
    assert (second.second_to, second.place, second.given) == (first.place, 5, None)
    assert second.version.steps == first.version.steps
    assert second.shown["order"]


@pytest.mark.parametrize("how", [right_answer, None])
def test_a_right_answer_or_none_opens_nothing(sitting, how):
    if how:
        give(sitting, of(sitting), how)
    answer_others(sitting, wrong_answer)
    assert open_second_tries(sitting=sitting, now=LATER) == ()
    assert second_of(sitting) is None


def test_without_another_question_about_the_step_there_is_none_and_the_answer_can_be_changed(
    trainee,
):
    writeup = ReleasedFactory()
    only = VersionFactory(question__writeup=writeup, critical=True)
    VersionFactory(question__writeup=writeup, steps=[OTHER])
    sitting = start_sitting(
        quiz=QuizFactory(writeups=[writeup], size=1),
        person=trainee,
        pass_percent=75,
        now=NOW,
        today=TODAY,
    )
    answer = sitting.answers.select_related("version").get(version=only)
    give(sitting, answer, wrong_answer)
    assert second_of(sitting) is None
    give(sitting, answer, right_answer)
    assert end(sitting).is_passed()


def test_there_is_no_third(sitting):
    give(sitting, of(sitting), wrong_answer)
    give(sitting, second_of(sitting), wrong_answer)
    assert open_second_tries(sitting=sitting, now=LATER) == ()
    assert sitting.answers.count() == 5


def test_the_first_answer_stands_from_then_on(sitting):
    first = of(sitting)
    give(sitting, first, wrong_answer)
    with pytest.raises(Refused, match="no longer change your first answer"):
        give(sitting, first, right_answer)
    assert of(sitting).given == wrong_answer(first)


def test_the_same_answer_sent_twice_opens_one(sitting):
    first = of(sitting)
    for _ in range(2):
        give(sitting, first, wrong_answer)
    assert sitting.answers.filter(second_to=first.place).count() == 1


def test_the_database_refuses_a_second_one_and_one_for_itself(sitting):
    first = of(sitting)
    give(sitting, first, wrong_answer)
    more = {"sitting": sitting, "version": first.version, "shown": {}}
    for place, second_to in ((9, first.place), (8, 8)):
        with pytest.raises(IntegrityError), transaction.atomic():
            Answer.objects.create(place=place, second_to=second_to, **more)


def test_the_first_answer_counts_for_the_percent_and_the_second_for_the_rule(sitting):
    answer_others(sitting)
    give(sitting, of(sitting), wrong_answer)
    give(sitting, second_of(sitting), right_answer)
    ended = end(sitting)
    # three of four first answers, by hand; the second try adds nothing to them
    assert (ended.percent, ended.critical_right, ended.is_passed()) == (75, True, True)


@pytest.mark.parametrize("second", [wrong_answer, None])
def test_wrong_twice_or_not_answered_is_not_passed(sitting, second):
    answer_others(sitting)
    give(sitting, of(sitting), wrong_answer)
    if second:
        give(sitting, second_of(sitting), second)
    ended = end(sitting)
    assert (ended.percent, ended.critical_right, ended.is_passed()) == (75, False, False)
    assert result_page(ended).critical_wrong == 1


def test_a_second_try_does_not_make_half_of_the_questions_answered(sitting):
    give(sitting, of(sitting), wrong_answer)
    give(sitting, second_of(sitting), right_answer)
    ended = end(sitting)  # one of four, and the second try
    assert (ended.percent, ended.critical_right) == (0, False)
    assert ended.is_cut_short()
    assert result_page(ended).answers == ()


def test_what_was_right_at_the_second_try_is_gone_through_again_all_the_same(sitting):
    answer_others(sitting, wrong_answer)
    give(sitting, of(sitting), wrong_answer)
    give(sitting, second_of(sitting), right_answer)
    assert {step for _, step in missed_steps(end(sitting))} == {STEP, OTHER}


def test_an_answer_that_was_only_chosen_opens_nothing_until_the_end_is_asked_for(sitting):
    first = of(sitting)
    give(sitting, first, wrong_answer, is_handed_in=False)
    assert second_of(sitting) is None
    give(sitting, first, right_answer, is_handed_in=False)
    assert open_second_tries(sitting=sitting, now=LATER) == ()
    give(sitting, first, wrong_answer, is_handed_in=False)
    (opened,) = open_second_tries(sitting=sitting, now=LATER)
    assert opened.second_to == first.place
    assert open_second_tries(sitting=sitting, now=LATER) == ()


def test_an_ended_sitting_opens_none(sitting):
    give(sitting, of(sitting), wrong_answer, is_handed_in=False)
    end(sitting)
    assert open_second_tries(sitting=sitting, now=LATER) == ()
    with pytest.raises(Refused, match="has ended"):
        give(sitting, of(sitting), wrong_answer)
    with pytest.raises(Exception, match="sealed"), transaction.atomic():
        Answer.objects.create(
            sitting=sitting, place=9, second_to=1, version=of(sitting).version, shown={}
        )


def test_the_same_seed_opens_the_same_question_in_the_same_order(quiz, trainee, mechanic):
    def opened(person):
        sitting = begin(quiz, person, seed=7)
        for answer in asked(sitting):
            give(sitting, answer, wrong_answer)
        return [
            (one.version_id, one.shown, one.second_to) for one in asked(sitting) if one.second_to
        ]

    assert opened(trainee) == opened(mechanic) != []


def test_either_both_are_there_or_neither(sitting, monkeypatch):
    """What is left when the server dies between the answer and its second try: the old state."""

    def dies(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(second_tries, "show_question", dies)
    with pytest.raises(KeyboardInterrupt), transaction.atomic():
        give(sitting, of(sitting), wrong_answer)
    assert (of(sitting).given, second_of(sitting)) == (None, None)


@pytest.mark.django_db(transaction=True)
def test_a_second_try_is_there_after_the_connection_is_cut(quiz, trainee):
    sitting = begin(quiz, trainee)
    for answer in asked(sitting):
        give(sitting, answer, wrong_answer)
    opened = [answer.place for answer in asked(sitting) if answer.second_to]
    connections.close_all()
    assert [answer.place for answer in asked(sitting) if answer.second_to] == opened != []


# That at one moment one is opened stands in tests/training/test_at_once.py.


def test_the_record_book_tells_which_answer_was_the_second_try(sitting, book):
    answer_others(sitting)
    give(sitting, of(sitting), wrong_answer)
    give(sitting, second_of(sitting), right_answer)
    ended = end(sitting)
    (body,) = [body for kind, body in book if kind == "sitting"]
    place = of(sitting).place
    assert [one["second_to"] for one in body["answers"]] == [None] * 4 + [place]
    assert newest_version(Sitting) == 2
    assert "second_to" not in body_of(ended, 1)["answers"][0]


def test_figures_count_first_answers_only(quiz, sitting):
    answer_others(sitting)
    give(sitting, of(sitting), wrong_answer)
    give(sitting, second_of(sitting), right_answer)
    end(sitting)
    figures = quiz_figures(quiz)
    assert figures.size == 4
    assert {one.name: (one.asked, one.right) for one in figures.questions} == {
        "critical": (1, 0),
        "other-0": (1, 1),
        "other-1": (1, 1),
        "other-2": (1, 1),
    }


# Pages


@pytest.fixture
def visit(client, trainee, sitting):
    client.force_login(trainee)

    def opened(name, *args, data=None):
        url = reverse(f"quizzes:{name}", args=[sitting.pk, *args])
        return client.get(url) if data is None else client.post(url, data)

    return opened


def typed(answer, how):
    return {"answer": answer.shown["order"].index(how(answer)) + 1}


def test_saving_a_wrong_answer_leads_to_the_second_try_and_on_from_there(visit, sitting):
    first = of(sitting)
    got = visit("question", first.place, data=typed(first, wrong_answer))
    assert got.url == f"/sitting/{sitting.pk}/5/"
    text = visit("question", 5).text
    assert f"Second try for question {first.place}" in text
    assert "Your first answer was not right." in text
    second = second_of(sitting)
    got = visit("question", 5, data=typed(second, right_answer))
    assert got.url == f"/sitting/{sitting.pk}/{first.place % 4 + 1}/"


def test_the_page_of_the_first_shows_that_it_stands_and_takes_no_other(visit, sitting):
    first = of(sitting)
    visit("question", first.place, data=typed(first, wrong_answer))
    text = visit("question", first.place).text
    assert "no longer change this answer" in text
    assert 'type="radio"' not in text
    got = visit("question", first.place, data=typed(first, right_answer))
    assert got.status_code == 302
    assert of(sitting).given == wrong_answer(first)
    assert f"second try for question {first.place}" in visit("sitting").text


def test_what_is_chosen_is_kept_at_once_and_tells_nothing(visit, sitting):
    first = of(sitting)
    for how in (wrong_answer, right_answer, wrong_answer):
        got = visit("question", first.place, data=typed(first, how) | {"chosen": "yes"})
        assert (got.status_code, got.content) == (204, b"")
        assert of(sitting).given == how(first)
    assert second_of(sitting) is None
    got = visit("question", first.place, data={"chosen": "yes"})
    assert (got.status_code, got.content) == (200, b"")
    assert of(sitting).given == wrong_answer(first)


def test_what_is_chosen_after_the_end_or_where_the_first_answer_stands_is_told(visit, sitting):
    first = of(sitting)
    give(sitting, first, wrong_answer)
    got = visit("question", first.place, data=typed(first, right_answer) | {"chosen": "yes"})
    assert (got.status_code, got.text[:17]) == (200, "You can no longer")
    assert got["Content-Type"].startswith("text/plain")
    end(sitting)
    got = visit("question", first.place, data=typed(first, right_answer) | {"chosen": "yes"})
    assert got.status_code == 302


def test_a_choice_that_comes_late_does_not_replace_what_was_handed_in(visit, sitting, time_machine):
    """The choice was sent before the button and is taken after it; or it comes from a window that
    was opened before another one answered.
    """
    other = of(sitting, "other-0")
    page = visit("question", other.place).text
    assert 'name="seen" value=""' in page
    chosen = typed(other, wrong_answer) | {"chosen": "yes", "seen": ""}
    time_machine.move_to(NOW, tick=False)
    visit("question", other.place, data=typed(other, right_answer))
    assert (
        "You answered this question in another window"
        in visit("question", other.place, data=chosen).text
    )
    assert of(sitting, "other-0").given == right_answer(other)
    seen = of(sitting, "other-0").given_at.isoformat()
    assert f'name="seen" value="{seen}"' in visit("question", other.place).text
    time_machine.move_to(LATER, tick=False)
    got = visit("question", other.place, data=chosen | {"seen": seen})
    assert got["X-Kept-At"] == LATER.isoformat()
    assert of(sitting, "other-0").given == wrong_answer(other)


def test_the_end_opens_the_second_tries_of_what_was_only_chosen(visit, sitting):
    first = of(sitting)
    answer_others(sitting)
    visit("question", first.place, data=typed(first, wrong_answer) | {"chosen": "yes"})
    for sure in ({}, {"sure": "yes"}):
        got = visit("end", data=sure)
        if not sure:
            assert got.url == f"/sitting/{sitting.pk}/5/"
            assert "you get a second try" in visit("question", 5).text
            assert "1 of 5 questions are not answered" in visit("end", data={}).text
    sitting.refresh_from_db()
    assert not sitting.is_open()
    # The second try was left open, so nothing says that it was wrong.
    assert "1 critical question was not right." in visit("result").text


def test_the_result_shows_the_second_try_behind_its_question(visit, sitting):
    first = of(sitting)
    answer_others(sitting)
    give(sitting, first, wrong_answer)
    give(sitting, second_of(sitting), right_answer)
    end(sitting)
    places = [answer.place for answer in result_page(Sitting.objects.get()).answers]
    assert places.index(5) == places.index(first.place) + 1
    assert f"{first.place}, second try:" in visit("result").text


def test_nobody_else_reaches_a_second_try(visit, sitting, client, mechanic, trainee):
    give(sitting, of(sitting), wrong_answer)
    client.force_login(mechanic)
    assert visit("question", 5).status_code == 404
    assert visit("question", 5, data={"answer": 1}).status_code == 404
    assert second_of(sitting).given is None
    client.force_login(trainee)
    assert visit("question", 6).status_code == 404


def test_a_number_with_no_unit_that_can_be_read_is_asked_again_and_not_marked(client, trainee):
    writeup = ReleasedFactory()
    VersionFactory(question__writeup=writeup, amount=True)
    sitting = start_sitting(
        quiz=QuizFactory(writeups=[writeup]), person=trainee, pass_percent=75, now=NOW, today=TODAY
    )
    client.force_login(trainee)
    url = reverse("quizzes:question", args=[sitting.pk, 1])
    for bare in ("28", "28,0", " -3 "):
        got = client.post(url, {"answer": bare})
        assert got.status_code == 200
        # units of torque: NIST SP 811, appendix B.9, and the kgf·cm of older wrenches
        assert "Write the unit too: N·m, in·lbf, ft·lbf or kgf·cm." in got.text
        assert f'value="{bare}"' in got.text
    # as a phone writes it, and as a mechanic does; none is a mistake about the torque
    for slip in ("28 nm", "28 NM", "28 N.m", "28 in-lb", "26-30 Nm", "about 28 Nm"):
        got = client.post(url, {"answer": slip})
        assert f"Not saved: “{slip}” cannot be read. Write one number and its unit" in got.text
    assert client.post(url, {"answer": "28", "chosen": "yes"}).text.startswith("Write the unit too")
    assert sitting.answers.get().given is None
    client.post(url, {"answer": "28 Nm"})
    assert sitting.answers.get().given == "28 Nm"
