"""How does a sitting begin, take answers and end?"""

import datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from procedures.records.above import moment
from procedures.records.refused import Refused
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import Answer, Sitting
from tests.procedures.book import body_of
from tests.procedures.factories import NOW, RevisionFactory
from tests.quizzes.factories import (
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    right_answer,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]
LATER = NOW + datetime.timedelta(hours=1)


def start(quiz, person, **kwargs):
    return start_sitting(
        **{"quiz": quiz, "person": person, "pass_percent": 75, "now": NOW, "today": TODAY} | kwargs
    )


def answer_all(sitting, **instead):
    """Answers everything right but what is given here by the question's name (None leaves it
    open).
    """
    for answer in sitting.answers.select_related("version__question"):
        given = instead.get(answer.version.question.name, right_answer(answer))
        if given is not None:
            save_answer(sitting=sitting, place=answer.place, given=given, now=LATER)


def end(sitting, **kwargs):
    return end_sitting(sitting=sitting, now=LATER, today=TODAY, **kwargs)


def test_it_asks_every_critical_question_and_others_up_to_the_size(trainee):
    writeup = ReleasedFactory()
    for place in range(8):
        VersionFactory(question__writeup=writeup, critical=place < 3)
    sitting = start(QuizFactory(writeups=[writeup], size=5), trainee)
    asked = [answer.version for answer in sitting.answers.all()]
    assert len(asked) == 5
    assert sum(version.critical for version in asked) == 3
    assert [answer.place for answer in sitting.answers.all()] == [1, 2, 3, 4, 5]


def test_the_newest_version_is_asked(trainee):
    old = VersionFactory(stem="Old?")
    VersionFactory(question=old.question, number=2, stem="New?")
    sitting = start(QuizFactory(writeups=[old.question.writeup]), trainee)
    assert [answer.version.stem for answer in sitting.answers.all()] == ["New?"]


def test_a_seed_draws_and_shows_the_same_again(quiz, trainee, mechanic):
    def shown(person, seed):
        return list(start(quiz, person, seed=seed).answers.values_list("place", "version", "shown"))

    first = shown(trainee, 42)
    assert shown(mechanic, 42) == first
    others = []
    for seed in range(5):
        Answer.objects.all().delete()
        Sitting.objects.all().delete()
        others.append(shown(trainee, seed))
    assert any(other != first for other in others)


@pytest.mark.parametrize("seed", range(12))
def test_an_order_question_is_never_shown_in_a_right_order(quiz, trainee, seed):
    sitting = start(quiz, trainee, seed=seed)
    answer = sitting.answers.get(version__kind="put in order")
    save_answer(sitting=sitting, place=answer.place, given=answer.shown["order"], now=LATER)
    end(sitting)
    answer.refresh_from_db()
    assert not answer.is_right()


def test_two_tabs_do_not_make_two_sittings(quiz, trainee, mechanic):
    first, second = start(quiz, trainee), start(quiz, trainee)
    assert first == second
    assert first.answers.count() == 4
    assert start(quiz, mechanic) != first


def test_after_the_end_a_new_one_begins(quiz, trainee):
    first = start(quiz, trainee)
    end(first)
    assert start(quiz, trainee) != first


def test_there_must_be_something_to_ask(trainee):
    with pytest.raises(Refused, match="This quiz has no question yet"):
        start(QuizFactory(writeups=[ReleasedFactory()]), trainee)
    assert not Sitting.objects.exists()


def test_a_question_whose_step_is_gone_is_not_asked(trainee):
    writeup = ReleasedFactory()
    VersionFactory(question__writeup=writeup, stem="Stays?")
    VersionFactory(question__writeup=writeup, steps=["gone"], critical=True)
    VersionFactory(
        question__writeup=writeup,
        order=True,
        asked={"steps": ["squeeze-ring", "guard-off"], "variant": {"ring": "prong"}},
        steps=["squeeze-ring", "guard-off"],
    )
    sitting = start(QuizFactory(writeups=[writeup]), trainee)
    assert [answer.version.stem for answer in sitting.answers.all()] == ["Stays?"]


def test_a_question_on_a_draft_is_not_asked(trainee):
    version = VersionFactory(question__writeup=RevisionFactory().writeup)
    with pytest.raises(Refused, match="This quiz has no question yet"):
        start(QuizFactory(writeups=[version.question.writeup]), trainee)


def test_an_answer_is_in_the_database_when_the_call_returns(sitting, answers):
    save_answer(sitting=sitting, place=answers["torque"].place, given="28 N·m", now=LATER)
    assert list(Answer.objects.filter(given__isnull=False).values_list("given", "given_at")) == [
        ("28 N·m", LATER)
    ]


def test_an_answer_may_be_given_again_until_the_end(sitting, answers):
    for given in ([0], [0, 1]):
        save_answer(sitting=sitting, place=answers["all"].place, given=given, now=LATER)
    answers["all"].refresh_from_db()
    assert answers["all"].given == [0, 1]
    end(sitting)
    with pytest.raises(Refused, match="has ended"):
        save_answer(sitting=sitting, place=answers["all"].place, given=[2], now=LATER)
    answers["all"].refresh_from_db()
    assert answers["all"].given == [0, 1]


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("one", 3),
        ("one", "0"),
        ("all", 0),
        ("order", ["let-air-out"]),
        ("torque", 28),
        ("torque", ""),
    ],
)
def test_an_answer_of_the_wrong_shape_is_refused_and_the_old_one_stays(
    sitting, answers, name, given
):
    answer = answers[name]
    save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=LATER)
    with pytest.raises(Refused):
        save_answer(sitting=sitting, place=answer.place, given=given, now=LATER)
    answer.refresh_from_db()
    assert answer.given == right_answer(answer)
    with pytest.raises(Refused, match="no such question"):
        save_answer(sitting=sitting, place=99, given=1, now=LATER)


def test_nonsense_for_an_amount_is_kept_as_given_and_worth_nothing(sitting, answers):
    answer_all(sitting, torque="quite tight")
    end(sitting)
    answers["torque"].refresh_from_db()
    assert (answers["torque"].given, answers["torque"].marks) == ("quite tight", 0)


def test_all_right_is_a_pass(sitting):
    answer_all(sitting)
    ended = end(sitting)
    assert (ended.percent, ended.critical_right, ended.happened_on, ended.recorded_at) == (
        100,
        True,
        TODAY,
        LATER,
    )
    assert ended.is_passed()


def test_a_critical_question_wrong_fails_though_the_percent_is_reached(sitting):
    answer_all(sitting, torque="28 bar")
    ended = end(sitting)
    assert ended.percent == 75 == ended.pass_percent
    assert not ended.critical_right
    assert not ended.is_passed()


def test_a_critical_question_partly_right_is_not_right(trainee):
    version = VersionFactory(several=True, critical=True)
    sitting = start(QuizFactory(writeups=[version.question.writeup]), trainee, pass_percent=50)
    save_answer(sitting=sitting, place=1, given=[0], now=LATER)
    ended = end(sitting)
    assert (ended.percent, ended.critical_right) == (50, False)
    assert not ended.is_passed()


def test_the_percent_is_the_mean_of_the_marks(sitting):
    # By hand: 1 for the option, (1 − 0)/2 for several, 0 for the order (the write-up demands two
    # pairs, of which one is kept and one broken), 1 for the amount: 2.5 of 4.
    answer_all(sitting, all=[0], order=["guard-shaft", "open-chamber", "let-air-out", "guard-off"])
    ended = end(sitting)
    marked = {answer.version.question.name: answer.marks for answer in ended.answers.all()}
    assert marked == {"one": 1, "all": Decimal("0.5"), "order": 0, "torque": 1}
    assert ended.percent == Decimal("62.50")


def test_a_percent_is_never_rounded_up_to_a_pass(trainee):
    options = [{"text": text, "right": True, "says": ""} for text in "abc"]
    version = VersionFactory(several=True, asked={"options": options})
    sitting = start(QuizFactory(writeups=[version.question.writeup]), trainee, pass_percent=67)
    save_answer(sitting=sitting, place=1, given=[0, 2], now=LATER)
    ended = end(sitting)
    assert ended.percent == Decimal("66.66")
    assert not ended.is_passed()


def test_what_is_not_answered_is_wrong_and_the_end_asks_first(sitting):
    answer_all(sitting, one=None, all=None)
    with pytest.raises(Refused, match="2 of 4 questions are not answered"):
        end(sitting, even_if_unanswered=False)
    sitting.refresh_from_db()
    assert sitting.is_open()
    assert end(sitting).percent == 50


def test_it_ends_once(sitting):
    end(sitting)
    with pytest.raises(Refused, match="has ended"):
        end(sitting)


def test_the_end_goes_into_the_record_book_with_every_answer(sitting, book):
    answer_all(sitting, one=None)
    end(sitting)
    (kind, body), *more = book
    assert (kind, more) == ("sitting", [])
    assert (body["percent"], body["critical_right"], body["on"], body["seed"]) == (
        Decimal("75.00"),
        True,
        TODAY,
        7,
    )
    assert [answer["place"] for answer in body["answers"]] == [1, 2, 3, 4]
    assert {str(answer["marks"]) for answer in body["answers"]} == {"0.00000", "1.00000"}
    again = body_of(Sitting.objects.get(pk=sitting.pk))
    assert again == body


def test_a_sitting_is_marked_against_the_revision_that_it_began_with(quiz, sitting):
    # Revision 1 lets the guard go on before or after the air is out; revision 2 wants the air out
    # first.
    answer_all(sitting, order=["guard-shaft", "let-air-out", "open-chamber", "guard-off"])
    writeup = quiz.writeups.get()
    text = writeup.revisions.get().text.replace(
        "makes: shaft guarded\n", "makes: shaft guarded\nafter: let-air-out\n"
    )
    RevisionFactory(writeup=writeup, number=2, text=text, released=True, asks="read again")
    assert end(sitting).percent == 100


@pytest.mark.parametrize(
    ("asks", "counts"),
    [("nothing", True), ("read again", True), ("answer again", False), ("show again", False)],
)
def test_a_sitting_from_before_a_release_that_asks_for_answers_does_not_count(
    quiz, sitting, trainee, asks, counts
):
    answer_all(sitting)
    writeup = quiz.writeups.get()
    RevisionFactory(
        writeup=writeup, number=2, text=writeup.revisions.get().text, released=True, asks=asks
    )
    if counts:
        assert start(quiz, trainee) == sitting
        assert end(sitting).is_passed()
        return
    with pytest.raises(Refused, match="have changed since it began"):
        end(sitting)
    fresh = start(quiz, trainee)
    assert fresh != sitting
    assert not fresh.answers.filter(given__isnull=False).exists()
    with pytest.raises(Refused, match="is over"):
        save_answer(sitting=sitting, place=1, given=0, now=LATER)


def test_a_sitting_with_a_question_that_was_rewritten_does_not_count(
    quiz, sitting, trainee, answers
):
    VersionFactory(question=answers["one"].version.question, number=2)
    with pytest.raises(Refused, match="have changed since it began"):
        end(sitting)
    assert start(quiz, trainee) != sitting


def queries(work):
    with CaptureQueriesContext(connection) as seen:
        work()
    return len(seen)


def test_a_big_bank_takes_no_more_queries_than_a_small_one(trainee, mechanic):
    begun, ended = [], []
    moment()  # the head of the record book is made once
    for person, many in ((trainee, 2), (mechanic, 40)):
        writeup = ReleasedFactory()
        for _ in range(many):
            VersionFactory(question__writeup=writeup, order=True)
        quiz = QuizFactory(writeups=[writeup], size=40)
        begun.append(queries(lambda quiz=quiz, person=person: start(quiz, person)))
        sitting = Sitting.objects.get(person=person)
        answer_all(sitting)
        ended.append(queries(lambda sitting=sitting: end(sitting)))
    assert begun[0] == begun[1]
    assert ended[0] == ended[1]
