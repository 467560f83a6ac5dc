"""Who may know of a draft, and who may release one?"""

import datetime

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from procedures.access import acts, doors
from tests.procedures.factories import (
    NOW,
    RELEASED_ON,
    RevisionFactory,
    ShopRulesFactory,
    WriteUpFactory,
)

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 11, 25)
NEXT_YEAR = datetime.date(2027, 1, 1)


class Somebody:
    def __init__(self, *may, pk=77):
        self._may, self.pk = may, pk

    def has_perm(self, perm):
        return perm in self._may


TRAINEE = Somebody("procedures.study", "quizzes.write", "training.see_everyone")
WRITER = Somebody("procedures.write")
RELEASER = Somebody("procedures.write", "procedures.release")


@pytest.fixture
def revisions():
    """One revision of each state: released, released for a later day, in review, draft."""
    writeup = WriteUpFactory(name="air")
    return {
        "released": RevisionFactory(writeup=writeup, number=1, released=True),
        "later": RevisionFactory(writeup=writeup, number=2, released=True, released_on=NEXT_YEAR),
        "in review": RevisionFactory(writeup=writeup, number=3, in_review=True),
    }


@pytest.fixture
def draft():
    return RevisionFactory(writeup=WriteUpFactory(name="damper"), number=1)


def known(person):
    return {(row.writeup.name, row.number) for row in doors.revisions_for(person, today=TODAY)}


def test_drafts_are_for_those_who_write(revisions, draft):
    assert known(WRITER) == {("air", 1), ("air", 2), ("air", 3), ("damper", 1)}
    assert known(TRAINEE) == {("air", 1)}


def test_may_write():
    assert acts.WRITE.is_open_to(WRITER)
    assert not acts.WRITE.is_open_to(TRAINEE)
    assert not acts.WRITE.is_open_to(Somebody("procedures.release"))
    acts.WRITE.must_be_open_to(WRITER)
    with pytest.raises(PermissionDenied):
        acts.WRITE.must_be_open_to(TRAINEE)


@pytest.mark.parametrize("number", [2, 3, 4])
def test_what_may_not_be_known_is_not_there(revisions, number):
    with pytest.raises(Http404):
        doors.revision_for(TRAINEE, "air", number, today=TODAY)
    with pytest.raises(Http404):
        # not even that it is forbidden
        doors.revision_to_write(TRAINEE, "air", number, today=TODAY)
    with pytest.raises(Http404):
        doors.revision_named(TRAINEE, "air", str(number), today=TODAY)


def test_what_may_be_known_and_not_written_is_forbidden(revisions):
    assert doors.revision_for(TRAINEE, "air", 1, today=TODAY) == revisions["released"]
    with pytest.raises(PermissionDenied):
        doors.revision_to_write(TRAINEE, "air", 1, today=TODAY)
    assert doors.revision_to_write(WRITER, "air", 3, today=TODAY) == revisions["in review"]


def test_what_is_worked_by_is_the_newest_released_by_the_day(revisions, draft):
    assert doors.current_revision("air", today=TODAY) == revisions["released"]
    assert doors.current_revision("air", today=NEXT_YEAR) == revisions["later"]
    for name, day in (
        ("air", RELEASED_ON - datetime.timedelta(days=1)),
        ("damper", TODAY),
        ("nowhere", TODAY),
    ):
        with pytest.raises(Http404):
            doors.current_revision(name, today=day)


@pytest.mark.parametrize("said", ["", "x", "-1", "1234567", "1.0"])
def test_what_is_no_number_means_the_current_one(revisions, said):
    assert doors.revision_named(TRAINEE, "air", said, today=TODAY) == revisions["released"]


def test_a_number_means_that_revision(revisions):
    assert doors.revision_named(WRITER, "air", "3", today=TODAY) == revisions["in review"]
    with pytest.raises(Http404):
        doors.revision_named(WRITER, "air", "123456", today=TODAY)  # six digits are a number still


def test_a_write_up_to_write(revisions):
    assert doors.writeup_to_write(WRITER, "air").name == "air"
    with pytest.raises(Http404):
        doors.writeup_to_write(WRITER, "nowhere")
    with pytest.raises(PermissionDenied):
        doors.writeup_to_write(TRAINEE, "nowhere")


def test_a_version_of_the_rules():
    rules = ShopRulesFactory()
    assert doors.rules_version(rules.pk) == rules
    with pytest.raises(Http404):
        doors.rules_version(rules.pk + 1)


def test_why_not_release_says_the_first_thing_that_stands_against_it(revisions, draft):
    in_review = revisions["in review"]
    assert acts.RELEASE.why_not(RELEASER, in_review) == ""
    assert acts.RELEASE.why_not(RELEASER, revisions["released"]).startswith(
        "This revision is released already."
    )
    assert acts.RELEASE.why_not(RELEASER, revisions["later"]).startswith(
        "This revision is released already."
    )
    assert "does not allow you to release" in acts.RELEASE.why_not(WRITER, in_review)
    assert "still a draft" in acts.RELEASE.why_not(RELEASER, draft)


def test_nobody_releases_what_they_wrote(senior, second):
    writeup = WriteUpFactory(name="lower")
    own = RevisionFactory(
        writeup=writeup, author=senior, writers=[second.pk], in_review=True, changed_at=NOW
    )
    for writer in (senior, second):
        assert "another person must release it" in acts.RELEASE.why_not(
            Somebody(acts.RELEASE.act.permission, pk=writer.pk), own
        )
    assert (
        acts.RELEASE.why_not(Somebody(acts.RELEASE.act.permission, pk=second.pk + 1000), own) == ""
    )
