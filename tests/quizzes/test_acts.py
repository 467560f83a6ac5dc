"""Does each act with questions and sittings say why not, for action and page alike?"""

import datetime

import pytest

from procedures.records.refused import Refused
from quizzes.access import acts
from quizzes.actions.refreshers import start_round
from quizzes.actions.reviews import confirm_question
from quizzes.reports.bank import question_page
from quizzes.reports.refreshers import start_page
from tests.quizzes.factories import NOW, TODAY, VersionFactory

pytestmark = pytest.mark.django_db


def confirm(by, *, author=1, is_accepted=False, is_withdrawn=False, others=True):
    return acts.CONFIRM.why_not(
        by, author=author, is_accepted=is_accepted, is_withdrawn=is_withdrawn, others=others
    )


def test_another_than_the_author_accepts_a_question_and_confirms_it_where_there_is_one(
    senior, owner, trainee
):
    assert confirm(owner, author=senior.pk) == ""
    assert "somebody else must approve" in confirm(senior, author=senior.pk)
    assert confirm(owner, author=senior.pk, is_accepted=True) == ""
    assert "somebody else must confirm" in confirm(senior, author=senior.pk, is_accepted=True)
    assert confirm(senior, author=senior.pk, is_accepted=True, others=False) == ""
    assert "withdrawn" in confirm(owner, is_withdrawn=True)
    assert "Only a senior mechanic or the owner" in confirm(trainee)


def test_a_question_is_withdrawn_once_by_somebody_who_writes(senior, trainee):
    assert acts.WITHDRAW.why_not(senior, is_withdrawn=False) == ""
    assert "already" in acts.WITHDRAW.why_not(senior, is_withdrawn=True)
    assert "Only a senior mechanic or the owner" in acts.WITHDRAW.why_not(
        trainee, is_withdrawn=False
    )


def test_the_page_shows_the_button_when_the_act_is_open_and_the_action_says_the_same(senior, owner):
    version = VersionFactory(author=senior)
    pages = [question_page(version.question, today=TODAY, reader=one) for one in (senior, owner)]
    assert [page.may_confirm for page in pages] == [False, True]
    assert all(page.may_withdraw for page in pages)
    with pytest.raises(Refused) as refused:
        confirm_question(question=version.question, number=version.number, by=senior, now=NOW)
    assert refused.value.message == confirm(senior, author=senior.pk)


def test_nobody_practises_in_the_middle_of_a_quiz(sitting, trainee, senior):
    assert acts.PRACTISE.why_not(senior) == ""
    why = acts.PRACTISE.why_not(trainee)
    assert "in the middle of a quiz" in why
    assert start_page(trainee.pk, TODAY).is_hindered
    with pytest.raises(Refused) as refused:
        start_round(person=trainee, now=NOW, today=TODAY)
    assert refused.value.message == why


def test_the_way_is_cleared_after_an_ended_sitting_that_was_not_passed(sitting, trainee, senior):
    day = datetime.date(2026, 11, 25)
    assert "You cannot sign for yourself" in acts.CLEAR_THE_WAY.why_not(trainee, sitting, day)
    assert "not ended yet" in acts.CLEAR_THE_WAY.why_not(senior, sitting, day)
    sitting.recorded_at, sitting.happened_on = NOW, day
    assert acts.CLEAR_THE_WAY.why_not(senior, sitting, day) == ""
    before = day - datetime.timedelta(days=1)
    assert "or a later day" in acts.CLEAR_THE_WAY.why_not(senior, sitting, before)
