"""Do the guards of the quizzes stand: who may sit, two starts at once, who accepts a question, and
the time of an ended sitting?
"""

from dataclasses import dataclass
from math import sqrt
from threading import Barrier, Thread

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection, transaction
from django.http import Http404
from scipy.stats import norm

from quizzes.access import acts, doors
from quizzes.actions.again import take_more_time
from quizzes.actions.refreshers import start_round
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import (
    Answer,
    MoreTime,
    QuestionConfirmed,
    QuestionVersion,
    QuestionWithdrawn,
    Sitting,
)
from quizzes.psychometrics.items import (
    CLEARLY,
    NOBODY_RIGHT,
    TOO_EASY_SAYS,
    WEAK_DO_BETTER,
    ItemFigures,
    OptionFigures,
    flags,
)
from quizzes.records.wording.say import say
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    TODAY,
    QuestionFactory,
    VersionFactory,
    given_rules,
    quiz_of_four,
    right_answer,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]


# Who may sit


@dataclass
class Visitor:
    """Somebody with the key of a person, and only these permissions."""

    pk: int
    may: frozenset = frozenset()

    def has_perm(self, perm):
        return perm in self.may


def test_who_may_not_sit_gets_neither_a_sitting_nor_a_practice_round_not_even_their_own(
    sitting, trainee
):
    for answer in sitting.answers.select_related("version"):
        save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=NOW)
    end_sitting(sitting=sitting, now=NOW, today=TODAY)
    round_ = start_round(person=trainee, now=NOW, today=TODAY)
    may, may_not = (
        Visitor(trainee.pk, frozenset({acts.SIT.permission})),
        Visitor(trainee.pk, frozenset({acts.WRITE.permission, acts.SEE_RESULTS.permission})),
    )
    assert doors.sitting_of(may, sitting.pk) == sitting
    assert doors.round_of(may, round_.pk) == round_
    with pytest.raises(PermissionDenied):
        doors.sitting_of(may_not, sitting.pk)
    with pytest.raises(PermissionDenied):
        doors.round_of(may_not, round_.pk)


def test_nobody_gets_the_sitting_or_the_open_result_of_somebody_else(sitting, mechanic, senior):
    for person in (mechanic, senior):
        for door in (doors.sitting_of, doors.result_for):
            with pytest.raises(Http404):
                door(person, sitting.pk)


def test_only_who_sees_results_gets_those_of_others_after_the_end(sitting, mechanic, senior):
    end_sitting(sitting=sitting, now=NOW, today=TODAY)
    assert doors.result_for(senior, sitting.pk) == sitting
    with pytest.raises(Http404):
        doors.result_for(mechanic, sitting.pk)


# Two starts at once


def test_who_begins_a_moment_later_gets_the_sitting_that_is_there(
    sitting, quiz, trainee, monkeypatch
):
    """The other one has not been written yet when this one looks for it, as between two
    requests.
    """
    monkeypatch.setattr(Sitting.objects, "select_for_update", Sitting.objects.none)
    again = start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=NOW, seed=8, today=TODAY)
    assert again == sitting
    assert again.answers.count() == 4
    assert Sitting.objects.count() == 1


@pytest.mark.postgres
@pytest.mark.skipif(
    connection.vendor != "postgresql",
    reason="SQLite in memory takes one writer; the test above stands for it",
)
@pytest.mark.django_db(transaction=True)
def test_of_many_starts_at_once_there_is_one_sitting_and_everybody_gets_it(trainee):
    quiz, begun, together = quiz_of_four(), [], Barrier(6)

    def begin():
        together.wait()
        try:
            begun.append(
                start_sitting(
                    quiz=type(quiz).objects.get(pk=quiz.pk),
                    person=trainee,
                    pass_percent=75,
                    now=NOW,
                    today=TODAY,
                ).pk
            )
        finally:
            connection.close()

    threads = [Thread(target=begin) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert begun == [Sitting.objects.get().pk] * 6
    assert Answer.objects.count() == 4


# Who accepts a question, and what a withdrawal takes back


def in_use(question):
    return list(
        QuestionVersion.objects.in_use().filter(question=question).values_list("number", flat=True)
    )


def confirmed(version, by):
    return QuestionConfirmed.objects.create(version=version, revision=1, by=by, recorded_at=NOW)


def test_an_author_who_confirms_does_not_accept(senior, owner):
    version = VersionFactory(author=senior)
    assert in_use(version.question) == []
    confirmed(version, senior)
    assert in_use(version.question) == []
    confirmed(version, owner)
    assert in_use(version.question) == [1]


def test_a_version_that_nobody_accepted_takes_the_older_one_back_when_it_is_withdrawn(
    senior, owner
):
    question = QuestionFactory()
    VersionFactory(question=question, number=1)
    waiting = VersionFactory(question=question, number=2, author=senior)
    assert in_use(question) == [1]
    QuestionWithdrawn.objects.create(
        version=waiting, reason="Neither holds.", by=owner, recorded_at=NOW
    )
    assert in_use(question) == []
    confirmed(waiting, owner)
    assert in_use(question) == []
    confirmed(VersionFactory(question=question, number=3, author=senior), owner)
    assert in_use(question) == [3]


def test_an_older_version_that_was_withdrawn_says_nothing_of_a_newer_one(owner):
    old = VersionFactory()
    VersionFactory(question=old.question, number=2)
    QuestionWithdrawn.objects.create(version=old, reason="Old.", by=owner, recorded_at=NOW)
    assert in_use(old.question) == [2]


def test_the_withdrawal_of_another_question_says_nothing_of_this_one(owner):
    version, other = VersionFactory(), VersionFactory(number=7)
    QuestionWithdrawn.objects.create(version=other, reason="Old.", by=owner, recorded_at=NOW)
    assert in_use(version.question) == [1]


# The time of an ended sitting


def test_no_time_is_added_to_an_ended_sitting_nor_changed_nor_moved_into_it(
    quiz, trainee, mechanic
):
    given_rules(quiz, minutes=20)
    mine, other = (
        start_sitting(quiz=quiz, person=person, pass_percent=75, now=NOW, today=TODAY)
        for person in (trainee, mechanic)
    )
    for sitting in (mine, other):
        take_more_time(sitting=sitting, now=NOW)
    end_sitting(sitting=mine, now=NOW, today=TODAY)
    for write in (
        lambda: MoreTime.objects.create(sitting=mine, minutes=10, recorded_at=NOW),
        lambda: MoreTime.objects.filter(sitting=mine).update(minutes=1),
        lambda: MoreTime.objects.filter(sitting=mine).delete(),
        lambda: MoreTime.objects.filter(sitting=other).update(sitting=mine),
    ):
        with pytest.raises(DatabaseError, match="The time taken is sealed"), transaction.atomic():
            write()
    MoreTime.objects.filter(sitting=other).update(minutes=5)
    assert MoreTime.objects.create(sitting=other, minutes=10, recorded_at=NOW).pk


# What is said of a question, at each edge


def item(*, share=0.5, rest=0.5, options=(), people=100):
    """The flags of a question in words: the share that is right, its correlation with the rest, and
    (option, right, share, correlation).
    """
    told = tuple(OptionFigures(name, is_right, chosen, r) for name, is_right, chosen, r in options)
    figures = ItemFigures("q", share, None, None, rest, None, None, None, told, ())
    return tuple(map(say, flags(figures, people)))


A = ("A", True, 0.5, 0.5)


@pytest.mark.parametrize(
    ("share", "says"), [(0.94, ()), (0.95, (TOO_EASY_SAYS,)), (1.0, (TOO_EASY_SAYS,))]
)
def test_too_easy_begins_at_95_in_a_hundred(share, says):
    assert item(share=share) == tuple(map(say, says))


@pytest.mark.parametrize(("share", "says"), [(0.0, (NOBODY_RIGHT,)), (0.01, ())])
def test_a_question_that_nobody_gets_right_is_told(share, says):
    assert item(share=share) == tuple(map(say, says))


@pytest.mark.parametrize(
    ("rest", "says"), [(-0.1644, ()), (-0.1646, (WEAK_DO_BETTER,)), (0.0, ()), (None, ())]
)
def test_weak_people_do_better_where_chance_would_say_so_of_1_in_20(rest, says):
    """With 100 people the standard error is 1/√100 = 0.1; 1.645 of them are the upper 5 % of the
    normal distribution.
    """
    assert norm.sf(1.645) == pytest.approx(0.05, abs=1e-4)
    assert item(rest=rest) == tuple(map(say, says))


@pytest.mark.parametrize(
    ("share", "is_right", "told"),
    [(0.0, False, True), (None, False, True), (0.01, False, False), (0.0, True, False)],
)
def test_a_wrong_option_that_nobody_picks_is_told(share, is_right, told):
    assert (
        "Nobody picks the option “C”." in item(options=[A, ("C", is_right, share, None)])
    ) is told


def key_suspected(**more):
    """Whether the key may be wrong, of a question whose option B draws able people, all of it far
    from every edge but what is said.
    """
    said = {"share": 0.4, "rest": -0.05, "chosen": 0.3, "r": 0.4} | more
    told = item(
        share=said["share"],
        rest=said["rest"],
        options=[("A", True, said["share"], None), ("B", False, said["chosen"], said["r"])],
    )
    return "The key may be wrong: able people choose “B”." in told


def test_a_key_may_be_wrong_only_at_the_edges_that_are_named():
    assert key_suspected()
    assert key_suspected(chosen=0.2)  # half as many as the keyed one
    assert not key_suspected(chosen=0.199)
    assert not key_suspected(r=None)
    assert key_suspected(rest=1 / sqrt(100) - 0.001)
    # the keyed one goes with the rest by a standard error
    assert not key_suspected(rest=1 / sqrt(100))
    assert key_suspected(rest=-0.05, r=CLEARLY - 0.05 + 0.001)
    assert not key_suspected(rest=-0.05, r=CLEARLY - 0.05 - 0.001)
    # clearly better than the keyed one, but not with the rest itself
    assert not key_suspected(rest=-0.9, r=0.0)
    assert key_suspected(rest=None)
    assert not key_suspected(share=0.95, chosen=0.5)


def test_of_several_options_the_one_that_goes_best_with_the_rest_is_named():
    told = item(
        share=0.3,
        rest=-0.1,
        options=[("A", True, 0.3, None), ("B", False, 0.3, 0.2), ("C", False, 0.3, 0.4)],
    )
    assert told == ("The key may be wrong: able people choose “C”.",)
