"""Can somebody get through a quiz without knowing what it asks: by ending early, looking round,
practising or sitting again?
"""

import datetime
import re
from random import Random

import pytest
from django.urls import reverse
from hypothesis import given as tried
from hypothesis import strategies as st

from procedures.records.refused import Refused
from procedures.records.texts import rules_text
from quizzes.actions.again import Signature, record_gone_through, record_talk
from quizzes.actions.questions import set_quiz, set_quiz_rules
from quizzes.actions.refreshers import start_round
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.marking.draws import Candidate, DrawRules, FromPart, draw
from quizzes.models import RefresherAnswer, Sitting
from quizzes.records.asking import candidate, count_met, list_askable
from quizzes.records.recalling import list_asked_on, list_remembered
from quizzes.records.retry import hindrance, missed_steps
from quizzes.records.sources import current_sources
from quizzes.reports.results import list_missed
from quizzes.reports.statistics import quiz_figures
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    asks_about,
    given_rules,
    right_answer,
    wrong_answer,
)
from tests.quizzes.test_survives import SECRETS
from tests.training.factories import UserFactory, WorkshopFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]

SIGNED = Signature("I have gone through each of these steps again.", "Sol Senior", "0" * 64)
DAY = datetime.timedelta(days=1)


def start(quiz, person, now=NOW, today=TODAY, **more):
    return start_sitting(quiz=quiz, person=person, pass_percent=75, now=now, today=today, **more)


def answer(sitting, many, given=wrong_answer):
    """Answers so many questions of a sitting, from the first on."""
    for one in sitting.answers.select_related("version").order_by("place")[:many]:
        save_answer(sitting=sitting, place=one.place, given=given(one), now=NOW)


def sat(quiz, person, many, given=wrong_answer, now=NOW, today=TODAY, **more):
    """An ended sitting with so many questions answered."""
    sitting = start(quiz, person, now, today, **more)
    answer(sitting, many, given)
    return end_sitting(sitting=sitting, now=now, today=today)


def result_of(client, person, sitting):
    client.force_login(person)
    return client.get(reverse("quizzes:result", args=[sitting.pk]))


def secrets_in(text):
    return [secret for secret in SECRETS if secret in text]


# Ending early


@pytest.mark.parametrize(("answered", "shows"), [(0, False), (1, False), (2, True), (4, True)])
def test_right_answers_come_only_when_half_of_the_questions_were_answered(
    quiz, trainee, client, answered, shows
):
    text = result_of(client, trainee, sat(quiz, trainee, answered)).text
    assert bool(secrets_in(text)) is shows
    assert ("because less than half of the questions were answered" in text) is not shows
    assert ("Stem of" in text) is shows


@pytest.mark.parametrize("answered", [1, 2])
def test_the_result_says_when_the_next_sitting_can_begin_and_leads_on(
    quiz, trainee, senior, client, answered, time_machine
):
    time_machine.move_to(NOW, tick=False)
    given_rules(quiz, wait_days=1)
    sitting = sat(quiz, trainee, answered)
    page = result_of(client, trainee, sitting).text
    assert "the next one can begin on 26 Nov 2026" in page
    assert "Go to My bench" in page
    given_rules(quiz, wait_days=0)
    assert "You can sit this quiz again today." in result_of(client, trainee, sitting).text
    other = result_of(client, senior, sitting).text
    assert "again today" not in other
    assert "can begin on" not in other


@pytest.mark.parametrize("who", ["senior", "owner"])
def test_nor_does_a_senior_see_the_questions_of_a_sitting_that_was_ended_early(
    quiz, trainee, client, who, request
):
    text = result_of(client, request.getfixturevalue(who), sat(quiz, trainee, 1)).text
    assert not secrets_in(text)
    assert "less than half of the questions were answered (1 of 4)" in text


def test_with_half_answered_the_others_tell_neither_options_nor_reasons_nor_steps(
    quiz, trainee, client
):
    sitting = start(quiz, trainee)
    given = {"torque": "1 N·m", "one": 1}
    for one in sitting.answers.select_related("version__question"):
        if one.version.question.name in given:
            save_answer(
                sitting=sitting, place=one.place, given=given[one.version.question.name], now=NOW
            )
    text = result_of(client, trainee, end_sitting(sitting=sitting, now=NOW, today=TODAY)).text
    open_ones = [
        part for part in re.findall(r"(?s)<section.*?</section>", text) if "not answered" in part
    ]
    assert len(open_ones) == 2
    for part in open_ones:
        assert "shown only for questions that were answered" in part
        assert not secrets_in(part)
        assert "<table" not in part
        assert "#step-" not in part


def test_a_sitting_ended_early_is_not_passed_whatever_the_pass_mark(trainee):
    writeup = ReleasedFactory()
    for number in range(5):
        VersionFactory(question__writeup=writeup, question__name=f"q{number}")
    sitting = start_sitting(
        quiz=QuizFactory(writeups=[writeup]), person=trainee, pass_percent=30, now=NOW, today=TODAY
    )
    assert sitting.answers.count() == 4
    quiz = QuizFactory(writeups=[writeup], size=5)
    sitting = start_sitting(quiz=quiz, person=trainee, pass_percent=30, now=NOW, today=TODAY)
    answer(sitting, 2, right_answer)  # 40 % of the marks, and no critical question
    ended = end_sitting(sitting=sitting, now=NOW, today=TODAY)
    assert (ended.percent, ended.critical_right, ended.is_passed()) == (0, False, False)


def test_before_the_end_the_page_says_what_ending_early_means(quiz, trainee, client):
    client.force_login(trainee)
    sitting = start(quiz, trainee)
    end = reverse("quizzes:end", args=[sitting.pk])
    assert "counts as not passed and shows no right answers" in client.post(end).text
    answer(sitting, 3)
    assert "If you end the quiz now, they count as wrong" in client.post(end).text


def test_no_step_of_a_sitting_that_was_ended_early_is_named_and_no_senior_clears_its_wait(
    quiz, trainee, senior
):
    set_quiz_rules(quiz=quiz, size=4, wait_days=2)
    ended = sat(quiz, trainee, 1)
    assert list_missed(ended) == ()
    with pytest.raises(Refused, match="There is nothing to go through"):
        record_gone_through(
            sitting=ended, steps=missed_steps(ended), by=senior, signature=SIGNED, on=TODAY, now=NOW
        )
    told = hindrance(quiz, trainee, TODAY)
    assert told.sitting is None
    assert (
        "ended before half of its questions were answered, so the next one can begin on 27 Nov 2026"
        in told.message
    )
    assert hindrance(quiz, trainee, TODAY + 2 * DAY) is None


def test_three_sittings_ended_early_in_a_row_wait_for_a_talk(quiz, trainee, senior):
    for _ in range(3):
        ended = sat(quiz, trainee, 0)
    assert hindrance(quiz, trainee, TODAY).kind == "talk"
    record_talk(
        sitting=ended,
        note="The questions are to be answered.",
        by=senior,
        signature=SIGNED,
        on=TODAY,
        now=NOW,
    )
    assert hindrance(quiz, trainee, TODAY) is None


def test_what_was_ended_early_stands_in_no_figure_of_a_question(quiz, trainee):
    sat(quiz, trainee, 4, right_answer)
    before = quiz_figures(quiz)
    sat(quiz, trainee, 1)
    assert quiz_figures(quiz) == before


# Practice


@pytest.mark.parametrize("answered", [0, 1])
def test_practice_asks_nothing_of_a_sitting_that_was_ended_early(quiz, trainee, answered):
    sat(quiz, trainee, answered, right_answer)
    assert list_remembered(trainee.pk, TODAY, list_asked_on(TODAY)) == ()
    with pytest.raises(Refused, match="You have no practice questions yet"):
        start_round(person=trainee, now=NOW, today=TODAY)


def test_practice_asks_only_what_was_answered(quiz, trainee):
    ended = sat(quiz, trainee, 2)
    kept = start_round(person=trainee, now=NOW, today=TODAY)
    practised = {
        one.version.question.name for one in kept.answers.select_related("version__question")
    }
    assert practised == {
        one.version.question.name for one in ended.answers.filter(given__isnull=False)
    }


# Looking round in the middle of a quiz


@pytest.fixture
def two(quiz):
    """Two quizzes: the one on its write-up, and another on another write-up."""
    other = QuizFactory(writeups=[VersionFactory(question__name="else").question.writeup])
    return {"mine": quiz, "other": other}


def closed_pages(quiz):
    writeup = quiz.writeups.get().name
    name = quiz.writeups.get().questions.order_by("pk").first().name
    return [
        reverse("quizzes:asked", args=[writeup, name]),
        reverse("quizzes:edit", args=[writeup]),
        reverse("quizzes:drafts", args=[writeup]),
        reverse("quizzes:statistics", args=[quiz.name]),
    ]


@pytest.mark.parametrize("who", ["senior", "owner"])
def test_in_the_middle_of_a_quiz_its_questions_are_closed_also_to_those_who_write_them(
    two, client, who, request
):
    person = request.getfixturevalue(who)
    client.force_login(person)
    pages = closed_pages(two["mine"])
    assert [client.get(page).status_code for page in pages] == [200] * 4
    sitting = start(two["mine"], person)
    for page in pages:
        got = client.get(page)
        assert got.status_code == 403
        assert "You are in the middle of the quiz Air-spring service." in got.text
        assert reverse("quizzes:sitting", args=[sitting.pk]) in got.text
    assert [client.get(page).status_code for page in closed_pages(two["other"])] == [200] * 4
    listed = client.get(reverse("quizzes:questions")).text
    assert ("Stem of torque?" in listed, "Stem of else?" in listed) == (False, True)
    end_sitting(sitting=sitting, now=NOW, today=TODAY, even_if_unanswered=True)
    assert [client.get(page).status_code for page in pages] == [200] * 4


@pytest.mark.parametrize("route", ["confirm", "withdraw"])
def test_in_the_middle_of_a_quiz_nobody_confirms_or_withdraws_its_questions(
    two, senior, client, route
):
    client.force_login(senior)
    start(two["mine"], senior)
    page = reverse(f"quizzes:{route}", args=[two["mine"].writeups.get().name, "one"])
    assert client.post(page, {"version": 1, "reason": "It gives itself away."}).status_code == 403


def test_in_the_middle_of_a_quiz_its_results_are_closed_ones_own_and_those_of_others(
    two, trainee, senior, client
):
    own, others, elsewhere = (
        sat(two["mine"], senior, 4),
        sat(two["mine"], trainee, 4),
        sat(two["other"], trainee, 1),
    )
    sitting = start(two["mine"], senior)
    assert [result_of(client, senior, one).status_code for one in (own, others, elsewhere)] == [
        403,
        403,
        200,
    ]
    assert result_of(client, trainee, others).status_code == 200
    end_sitting(sitting=sitting, now=NOW, today=TODAY, even_if_unanswered=True)
    assert result_of(client, senior, own).status_code == 200


def test_a_quiz_that_shares_a_write_up_is_closed_with_it(quiz, senior, client):
    other = QuizFactory(writeups=[quiz.writeups.get()])
    ended = sat(other, senior, 4)
    start(quiz, senior)
    assert result_of(client, senior, ended).status_code == 403
    assert client.get(reverse("quizzes:statistics", args=[other.name])).status_code == 403


def test_a_write_up_that_the_quiz_no_longer_asks_about_stays_closed_while_it_was_drawn_from(
    quiz, senior, client
):
    client.force_login(senior)
    pages = closed_pages(quiz)[:3]
    start(quiz, senior)
    asks_about(quiz, ReleasedFactory())
    assert [client.get(page).status_code for page in pages] == [403] * 3


# Sitting again


def test_a_new_quiz_asks_to_wait_a_day_and_lets_one_sit_twice_a_day():
    quiz = set_quiz(name="new", title="New", writeups=[], size=4)
    assert (quiz.rules.wait_days, quiz.rules.sittings_a_day) == (1, 2)


def test_the_wait_begins_with_the_first_failure_and_goes_by_days(quiz, trainee):
    """The workshop is in Vienna, an hour ahead of UTC: 22:59 is a minute before midnight there."""
    set_quiz_rules(quiz=quiz, size=4)
    late = datetime.datetime(2026, 11, 25, 22, 59, tzinfo=datetime.UTC)
    sat(quiz, trainee, 4, now=late)
    with pytest.raises(Refused, match="can begin on 26 Nov 2026"):
        start_sitting(
            quiz=quiz, person=trainee, pass_percent=75, now=late + datetime.timedelta(seconds=59)
        )
    assert start_sitting(
        quiz=quiz, person=trainee, pass_percent=75, now=late + datetime.timedelta(minutes=1)
    ).is_open()


def test_a_sitting_counts_on_the_day_it_begins_and_on_the_day_it_ends(quiz, trainee):
    set_quiz_rules(quiz=quiz, size=4, wait_days=0, sittings_a_day=1)
    sitting = start(quiz, trainee)
    answer(sitting, 4, right_answer)
    end_sitting(sitting=sitting, now=NOW + DAY, today=TODAY + DAY)
    for days in (0, 1):
        assert hindrance(quiz, trainee, TODAY + days * DAY).kind == "day", days
    assert hindrance(quiz, trainee, TODAY + 2 * DAY) is None


def test_the_day_of_the_beginning_is_that_of_the_workshop(quiz):
    """23:30 UTC is the next day in Vienna already."""
    person = UserFactory(workshop=WorkshopFactory(time_zone="Europe/Vienna"))
    set_quiz_rules(quiz=quiz, size=4, wait_days=0, sittings_a_day=1)
    late = datetime.datetime(2026, 11, 24, 23, 30, tzinfo=datetime.UTC)
    sitting = start(quiz, person, now=late, today=TODAY)
    answer(sitting, 4, right_answer)
    end_sitting(sitting=sitting, now=NOW + 5 * DAY, today=TODAY + 5 * DAY)
    assert hindrance(quiz, person, TODAY - DAY) is None
    assert hindrance(quiz, person, TODAY).kind == "day"


# What was seen comes last


@pytest.fixture
def bank():
    """A quiz of three, one critical, from a bank of nine."""
    writeup = ReleasedFactory()
    for number in range(9):
        VersionFactory(question__writeup=writeup, question__name=f"q{number}", critical=number == 0)
    return QuizFactory(writeups=[writeup], size=3)


def drawn(sitting):
    return {
        one.version.question.name for one in sitting.answers.select_related("version__question")
    }


def test_each_sitting_asks_what_was_not_seen_before_as_long_as_the_bank_has_it(bank, trainee):
    asked = [drawn(sat(bank, trainee, 3, right_answer)) for _ in range(5)]
    assert all("q0" in names for names in asked)  # every critical one, always
    others = [names - {"q0"} for names in asked]
    assert len(set.union(*others[:4])) == 8  # two new ones each time
    assert len(others[4]) == 2


def test_what_was_only_looked_at_was_seen_too(bank, trainee):
    first = drawn(sat(bank, trainee, 0))
    assert drawn(start(bank, trainee)) & first == {"q0"}


def test_what_was_practised_was_seen(bank, trainee):
    version = VersionFactory(question__writeup=bank.writeups.get(), question__name="q9")
    sat(bank, trainee, 3, right_answer)
    round_ = start_round(person=trainee, now=NOW, today=TODAY)
    RefresherAnswer.objects.create(
        round=round_, place=9, version=version, shown={"order": [0, 1, 2], "revision": 1}
    )
    assert str(version.question) in count_met(bank, trainee.pk)


def test_what_an_outdated_sitting_asked_stays_seen_when_it_goes(bank, trainee):
    first = start(bank, trainee)
    names = drawn(first)
    one = first.answers.select_related("version__question").exclude(version__critical=True).first()
    VersionFactory(question=one.version.question, number=2)
    second = start(bank, trainee)
    assert not Sitting.objects.filter(pk=first.pk).exists()
    assert drawn(second) & names == {"q0"}
    sat(bank, trainee, 3, right_answer)
    third = start(bank, trainee)
    assert drawn(third) & (names | drawn(second)) == {"q0"}


def test_what_somebody_else_saw_is_new_to_me(bank, trainee, mechanic):
    sat(bank, trainee, 3)
    assert count_met(bank, mechanic.pk) == frozenset()


def test_a_draw_can_be_made_again_from_its_seed_its_bank_and_what_was_seen(bank, trainee):
    sat(bank, trainee, 3, seed=5)
    sitting = start(bank, trainee, seed=6)
    sources = current_sources(bank.writeups.values_list("pk", flat=True), TODAY)
    versions = list_askable(sources, rules_text())
    seen = {one.pk for one in versions if str(one.question) in sitting.drawn_by["met"]}
    assert len(seen) == 4  # three, and the second try for the critical one
    again = draw(
        [candidate(one, sources[one.question.writeup_id]) for one in versions],
        bank.rules.draw_rules(),
        Random(sitting.seed),
        seen,
    )
    assert list(again) == list(sitting.answers.order_by("place").values_list("version", flat=True))
    assert Sitting.objects.get(pk=sitting.pk).drawn_by["size"] == 3


POTS = st.lists(
    st.tuples(st.sampled_from("ab"), st.booleans(), st.booleans(), st.booleans()),
    min_size=1,
    max_size=20,
)


@tried(POTS, st.integers(0, 12), st.integers(0, 100), st.integers(0, 4), st.integers(0, 2**31 - 1))
def test_no_seen_question_comes_while_an_unseen_one_of_its_pot_waits(
    rows, size, share, count, seed
):
    """And the rules are kept as without it: as many critical ones, as many of the part, as many in
    all.
    """
    bank = [
        Candidate(key, name, critical, frozenset({"s"} if fits else {"t"}))
        for key, (name, critical, fits, _) in enumerate(rows)
    ]
    seen = {key for key, row in enumerate(rows) if row[3]}
    rules = DrawRules(size, share, (FromPart("a", "step", "s", count),) if count else ())
    chosen = set(draw(bank, rules, Random(seed), seen))
    by_pot = {}
    for one in bank:
        by_pot.setdefault((one.writeup, one.critical, one.steps), []).append(one.key)
    for keys in by_pot.values():
        if any(key in chosen and key in seen for key in keys):
            assert all(key in chosen for key in keys if key not in seen)
    critical = [one.key for one in bank if one.critical]
    assert sum(key in chosen for key in critical) * 100 >= share * len(critical)
    assert len(chosen) >= min(size, len(bank))
    there = sum(rules.parts[0].fits(one) for one in bank) if count else 0
    assert sum(bool(count) and rules.parts[0].fits(bank[key]) for key in chosen) >= min(
        count, there
    )


@pytest.mark.parametrize(("size", "says"), [(9, True), (2, False)])
def test_the_odds_say_when_the_next_sitting_asks_the_same_again(bank, senior, client, size, says):
    set_quiz_rules(quiz=bank, size=size)
    client.force_login(senior)
    text = client.get(reverse("quizzes:odds", args=[bank.name])).text
    assert ("passes the next sitting with a chance of 100 %" in text) is says
    assert ("asks mostly the same questions again" in text) is says
