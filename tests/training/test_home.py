"""Does everybody find on their bench what is next, who waits, and what is new?"""

import datetime

import pytest
from django.utils.html import strip_tags

from procedures.actions.writeups import (
    bring_revision,
    save_draft,
    send_back,
    send_to_review,
    start_revision,
)
from quizzes.actions.sittings import start_sitting
from quizzes.models import Question
from tests.quizzes.factories import VersionFactory
from tests.training.shop import NOW, TODAY, found, make_ready, observe, sit, watched_job
from training.actions import entries
from training.actions.levels import set_level
from training.actions.rota import add_absence, set_shift
from training.models import Rota, Visit, Want
from training.reports.at_bench import LevelAtBench
from training.reports.first_thing import first_thing
from training.reports.who_may import Cell
from training.standing.answer import Answer
from training.standing.results import NextStep
from training.standing.terms import Terms

LATER = datetime.datetime(2026, 12, 1, 9, 30, tzinfo=datetime.UTC)


def read(page):
    return " ".join(strip_tags(page.text).split())


@pytest.fixture
def bench(as_):
    """What somebody reads on their bench, in one line of words."""
    return lambda person: read(as_(person).get("/"))


# --- what is next


def test_what_is_next_goes_from_reading_to_the_senior(shop, bench):
    """The order of doing of the standing: reading, quiz, watched job, a senior's eye, the
    signature.
    """
    trainee = shop.trainee
    assert "Read Air-spring service, revision 1." in bench(trainee)
    entries.record_reading(person=trainee, revision=shop.revision, on=TODAY, now=NOW)
    assert "Start the quiz: Air-spring service" in bench(trainee)
    sit(trainee, shop.quiz)
    assert "Log the job: Air-spring service" in bench(trainee)
    watched_job(shop, trainee)
    assert "Wait for a senior: Watch a job with the check sheet" in bench(trainee)
    observe(shop, trainee)
    assert "Wait for a senior: Sign off for Air-spring service" in bench(trainee)


def test_a_sitting_that_was_begun_comes_first(shop, bench):
    start_sitting(
        quiz=shop.quiz, person=shop.trainee, pass_percent=75, now=NOW, seed=2, today=TODAY
    )
    assert "Go on with the quiz of Air-spring service. You started it and did not end it." in bench(
        shop.trainee
    )


def test_what_waits_for_an_earlier_level_is_not_next(shop, bench):
    make_ready(shop, shop.trainee)
    set_level(
        name="damper",
        terms=Terms(title="Damper service", valid_months=24, earlier=("air-spring",)),
        now=NOW,
        from_day=None,
    )
    assert "Wait for a senior: Sign off for Air-spring service" in bench(shop.trainee)


def test_nothing_is_left_where_nothing_lapses_soon(shop, bench):
    assert "Nothing is missing for your own levels." in bench(shop.senior)


def test_what_keeps_a_standing_is_next_before_it_lapses(shop, bench, clock):
    # the founding sign-off of 5 Jan 2026 ends 5 Jan 2028
    clock.move_to(datetime.datetime(2027, 12, 20, 9, 30, tzinfo=datetime.UTC))
    words = bench(shop.senior)
    assert "renew the sign-off for Air-spring service" in words
    assert "Nothing is missing for your own levels." not in words


# --- who waits


def test_a_senior_finds_first_who_waits(shop, ready, bench):
    words = bench(shop.senior)
    assert words.index("Tilda Trainee has done everything the level asks.") < words.index(
        "What is next"
    )


def test_a_senior_for_whom_nobody_waits_is_told_so(shop, bench):
    assert "Nothing waits for you." in bench(shop.senior)


# --- how the shop stands, for the owner


def test_the_owner_sees_how_many_may_and_how_many_may_not(shop, ready, bench):
    assert "Not on the rota: Sol Senior 1 under supervision, 2 not yet" in bench(shop.owner)


def test_the_owner_sees_who_is_at_work_and_may_and_who_may_but_is_away(shop, bench):
    found(shop.mechanic, shop.level, shop.owner)
    for person in (shop.senior, shop.mechanic):
        set_shift(
            person=person, workshop=shop.workshop, weekdays=["wed"], first=TODAY, by=shop.owner
        )
    add_absence(person=shop.mechanic, first=TODAY, until=TODAY, by=shop.owner)
    assert "At work: Sol Senior Away: Mika Mechanic" in bench(shop.owner)


def test_on_a_day_on_which_the_shop_is_closed_the_first_page_says_so(shop, bench):
    set_shift(
        person=shop.senior, workshop=shop.workshop, weekdays=["thu"], first=TODAY, by=shop.owner
    )
    words = bench(shop.owner)
    assert "The shop is closed: nobody on the rota works on a Wednesday." in words
    assert "Nobody is at work. Away: Sol Senior" in words


def test_the_owner_sees_what_changed_since_the_last_visit_and_why(shop, ready, bench, clock):
    assert "since your last visit" not in bench(shop.owner)
    found(shop.trainee, shop.level, shop.owner, on=TODAY)
    clock.move_to(LATER)
    words = bench(shop.owner)
    assert "compared with 24 Nov 2026, the day before your visit" in words
    assert (
        "Tilda Trainee Air-spring service: not yet → alone No longer: Not signed off for "
        "Air-spring service yet." in words
    )
    assert words == bench(shop.owner)  # the same visit, looked at twice


def test_the_owner_is_told_where_nothing_changed(shop, bench, clock):
    bench(shop.owner)
    clock.move_to(LATER)
    assert "Nothing has changed since that day." in bench(shop.owner)


def test_a_visit_counts_from_day_to_day(shop, bench, clock):
    for day in (1, 1, 3, 7):
        clock.move_to(datetime.datetime(2026, 12, day, 9, 30, tzinfo=datetime.UTC))
        bench(shop.owner)
    visit = Visit.objects.get(person=shop.owner)
    assert (visit.on, visit.before) == (datetime.date(2026, 12, 7), datetime.date(2026, 12, 3))


def test_the_owner_sees_the_days_on_which_too_few_are_there(shop, bench):
    """25 Nov 2026 is a Wednesday (ISO 8601 calendar): the four weeks from it on hold four Fridays,
    the first on 27 Nov.
    """
    Want.objects.create(workshop=shop.workshop, level=shop.level, fri=1)
    assert "Air-spring service, Test Street: 4 days, 27 Nov 2026 to 18 Dec 2026" in bench(
        shop.owner
    ).replace(shop.workshop.name, "Test Street")
    Rota.objects.create(person=shop.senior, workshop=shop.workshop, fri=True)
    assert "No day is short." in bench(shop.owner)


def test_a_shop_that_says_no_numbers_is_told_of_no_gaps(shop, bench):
    assert "Short days" not in bench(shop.owner)


# --- one's own drafts


def test_whoever_wrote_a_word_of_a_draft_waits_for_the_others_and_is_told_for_whom(shop, bench):
    draft = start_revision(writeup=shop.writeup, author=shop.other_senior, now=NOW)
    text = draft.text.replace("until the hiss stops", "until no hiss is left")
    for by, words in ((shop.senior, text), (shop.other_senior, text + "\n")):
        draft = save_draft(
            revision=draft, text=words, reason="Clearer.", asks="nothing", by=by, now=NOW, seen=None
        )
    send_to_review(revision=draft, by=shop.other_senior, now=NOW)
    for person in (shop.senior, shop.other_senior):
        words = bench(person)
        assert "Review it" not in words
        assert "In review Air-spring service, revision 2Can be released by Odile Owner" in words
    assert "Review it" in bench(shop.owner)
    send_back(revision=draft, by=shop.owner, reason="Say which tool.")
    assert "Sent back Air-spring service, revision 2Say which tool." in bench(shop.senior)
    assert "Say which tool." not in bench(shop.owner)


def test_what_runs_out_within_thirty_days_comes_before_a_new_level():
    def level(name, standing, lapses_on, step):
        answer = Answer(
            "tilda",
            name,
            TODAY,
            standing,
            (),
            lapses_on,
            None,
            (),
            (NextStep(step, "person", (("title", "T"),)),),
        )
        return LevelAtBench(Cell(name, name, answer), (), 80, None, TODAY)

    def first(days):
        held = level("held", "alone", TODAY + datetime.timedelta(days=days), "answer-again")
        return first_thing([level("new", "watched", None, "sit-quiz"), held]).level

    assert (first(30), first(31)) == ("held", "new")


def test_a_question_of_somebody_else_waits_to_be_approved(shop, bench):
    question = Question.objects.get(name="one")
    VersionFactory(question=question, number=2, author=shop.senior)
    assert "1 question waits to be approved by you." in bench(shop.owner)
    assert "approved by you" not in bench(shop.senior)
    assert "approved by you" not in bench(shop.trainee)


def test_a_question_whose_step_changed_waits_for_those_who_write(shop, bench):
    question = Question.objects.get(name="one")
    VersionFactory(question=question, number=2, author=None, revision=1)
    bring_revision(
        writeup=shop.writeup,
        number=2,
        text=shop.revision.text.replace("until the hiss stops", "until no hiss is left"),
        asks="nothing",
        released_on=TODAY,
        now=NOW,
    )
    assert "1 question is not asked, because a step of it changed." in bench(shop.owner)
    assert "not asked, because" not in bench(shop.trainee)
