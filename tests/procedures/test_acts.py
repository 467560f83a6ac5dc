"""Does each act with a write-up say why not in a sentence, so that action and page say the same?"""

import pytest

from procedures.access import acts
from procedures.actions.writeups import release, save_draft, send_back, start_revision
from procedures.models import Revision
from procedures.records.refused import Refused
from procedures.reports.writeups import revision_page
from tests.procedures.factories import NOW, RevisionFactory, WriteUpFactory
from tests.procedures.test_access import RELEASER, TODAY, TRAINEE, WRITER

pytestmark = pytest.mark.django_db

ON_A_REVISION = {
    name: act for name, act in vars(acts).items() if isinstance(act, acts.ActOnRevision)
}
STATES = {"draft": {}, "in review": {"in_review": True}, "released": {"released": True}}
# What may be done in which state, by somebody who may write and release and has written nothing of
# it: a draft, in review, released; a release is never changed.
OPEN = {
    "EDIT": {"draft"},
    "TYPE": {"draft", "in review"},
    "SEND_BACK": {"in review"},
    "ANSWER_PROOFING": {"draft", "in review"},
    "CONFIRM_VALUES": {"draft", "in review"},
    "RELEASE": {"in review"},
    "ASK_MORE": {"draft", "in review"},
    "ASK_LESS": {"draft"},
}


def revision_in(state):
    return RevisionFactory(writeup=WriteUpFactory(), number=1, **STATES[state])


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("name", sorted(ON_A_REVISION))
def test_an_act_is_open_in_its_states_and_says_in_the_others_why_not(name, state):
    act, revision = ON_A_REVISION[name], revision_in(state)
    why = act.why_not(RELEASER, revision)
    assert (why == "") is (state in OPEN[name]) is act.is_open_to(RELEASER, revision)
    assert why == "" or why.endswith(".")


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("name", sorted(ON_A_REVISION))
def test_no_act_is_open_to_somebody_who_only_studies(name, state):
    assert not ON_A_REVISION[name].is_open_to(TRAINEE, revision_in(state))


@pytest.mark.parametrize("state", STATES)
def test_the_page_shows_the_buttons_of_the_acts_that_are_open(state):
    revision = revision_in(state)
    page = revision_page(RELEASER, revision, today=TODAY, chosen={}, show_all=False)
    assert page.may_edit is acts.EDIT.is_open_to(RELEASER, revision)
    assert page.may_send_back is acts.SEND_BACK.is_open_to(RELEASER, revision)
    assert page.may_answer is acts.ANSWER_PROOFING.is_open_to(RELEASER, revision)


def test_the_action_refuses_with_the_words_of_the_act():
    released, draft = revision_in("released"), revision_in("draft")
    with pytest.raises(Refused) as refused:
        save_draft(
            revision=released, text="x", reason="", asks="nothing", by=WRITER, now=NOW, seen=None
        )
    assert refused.value.message == acts.EDIT.why_not(WRITER, released)
    with pytest.raises(Refused) as refused:
        send_back(revision=draft, by=WRITER, reason="No.")
    assert refused.value.message == acts.SEND_BACK.why_not(WRITER, draft)
    with pytest.raises(Refused) as refused:
        release(revision=draft, by=RELEASER, now=NOW)
    assert refused.value.message == acts.RELEASE.why_not(RELEASER, draft)


def test_the_next_revision_is_started_beside_a_released_one_and_no_open_draft(senior):
    fresh, released = revision_in("draft"), revision_in("released")
    with pytest.raises(Refused, match="no released revision yet"):
        start_revision(writeup=fresh.writeup, author=senior, now=NOW)
    start_revision(writeup=released.writeup, author=senior, now=NOW)
    assert Revision.objects.open().filter(writeup=released.writeup).count() == 1
    with pytest.raises(Refused, match="an open draft already"):
        start_revision(writeup=released.writeup, author=senior, now=NOW)
