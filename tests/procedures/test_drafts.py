"""Does a draft begin, change and stay as its writers mean it to?"""

import datetime

import pytest
import yaml
from django.db import IntegrityError, transaction
from hypothesis import given, settings, strategies
from hypothesis.extra.django import TestCase

from procedures.actions import writeups as actions
from procedures.models import Revision, WriteUp
from procedures.records import texts
from procedures.records.refused import Refused
from procedures.rehearsal.findings import blocks
from procedures.writeup.parse import parse
from tests.procedures.factories import NOW, TEXT, RevisionFactory, ShopRulesFactory, WriteUpFactory

pytestmark = pytest.mark.django_db
LATER = NOW + datetime.timedelta(minutes=5)


def save(revision, by, **changed):
    given = {
        "text": revision.text,
        "reason": "",
        "asks": "nothing",
        "now": LATER,
        "seen": revision.changed_at,
        **changed,
    }
    return actions.save_draft(revision=revision, by=by, **given)


def test_a_new_write_up_begins_as_a_draft_that_rehearses(senior):
    ShopRulesFactory()
    draft = actions.start_writeup(name="lower-legs", title="Lower legs", author=senior, now=NOW)
    assert (draft.number, draft.author, draft.state(latest_released=None)) == (1, senior, "draft")
    assert not blocks(texts.findings_of(draft.text, name="lower-legs"))


def test_a_taken_name_is_refused_and_nothing_is_written(senior):
    WriteUpFactory(name="lower-legs")
    with pytest.raises(Refused, match="already exists"):
        actions.start_writeup(name="lower-legs", title="Lower legs", author=senior, now=NOW)
    assert not Revision.objects.exists()


@pytest.mark.parametrize("name", ["", "Lower legs", "a.b", "a/b", "é"])
def test_a_name_that_fits_no_address_is_refused(senior, name):
    with pytest.raises(Refused):
        actions.start_writeup(name=name, title="Lower legs", author=senior, now=NOW)
    assert not WriteUp.objects.exists()


def test_the_next_revision_begins_as_the_newest_released_text(senior):
    old = RevisionFactory(released=True)
    new = RevisionFactory(
        writeup=old.writeup, number=2, released=True, text=old.text + "\nOne more line.\n"
    )
    draft = actions.start_revision(writeup=old.writeup, author=senior, now=NOW)
    assert (draft.number, draft.text, draft.released_on) == (3, new.text, None)


def test_a_write_up_has_one_open_draft(senior):
    released = RevisionFactory(released=True)
    actions.start_revision(writeup=released.writeup, author=senior, now=NOW)
    with pytest.raises(Refused, match="open draft already"):
        actions.start_revision(writeup=released.writeup, author=senior, now=NOW)
    with pytest.raises(IntegrityError), transaction.atomic():
        RevisionFactory(writeup=released.writeup, number=3)


def test_the_next_revision_waits_for_the_first_release(senior):
    with pytest.raises(Refused, match="no released revision"):
        actions.start_revision(writeup=RevisionFactory().writeup, author=senior, now=NOW)


def test_who_changes_the_text_last_is_its_author(senior, second):
    draft = RevisionFactory(author=senior)
    assert save(draft, second, reason="clearer").author == senior
    draft.refresh_from_db()
    assert save(draft, second, text=draft.text + "\nMore.\n").author == second


def test_saving_writes_the_ids_of_steps_into_the_text(senior):
    draft = RevisionFactory()
    saved = save(draft, senior, text=draft.text + "\n### Wipe it dry\n\nWipe it dry.\n")
    assert "### Wipe it dry {#wipe-it-dry}" in saved.text


def test_two_writers_do_not_write_over_each_other(senior, second):
    draft = RevisionFactory()
    save(draft, senior, text=draft.text + "\nBy the first.\n")
    with pytest.raises(Refused, match="somebody saved this draft"):
        save(
            draft,
            second,
            text=draft.text + "\nBy the second.\n",
            now=LATER + datetime.timedelta(minutes=1),
        )
    draft.refresh_from_db()
    assert "By the first." in draft.text
    assert "By the second." not in draft.text
    assert draft.author == senior


@pytest.mark.parametrize("state", ["in_review", "released"])
def test_only_a_draft_can_be_changed(senior, state):
    revision = RevisionFactory(**{state: True})
    with pytest.raises(Refused, match=r"review|released"):
        save(revision, senior, text="---\ntitle: Other\n---\n")
    revision.refresh_from_db()
    assert "Other" not in revision.text


def test_an_ask_that_nobody_knows_is_refused_twice(senior):
    draft = RevisionFactory()
    with pytest.raises(Refused, match="not a valid choice"):
        save(draft, senior, asks="sing")
    with pytest.raises(IntegrityError), transaction.atomic():
        Revision.objects.filter(pk=draft.pk).update(asks="sing")


def test_who_may_not_write_writes_nothing(mechanic):
    draft = RevisionFactory()
    with pytest.raises(Refused, match="Your role"):
        save(draft, mechanic, text="other")
    with pytest.raises(Refused, match="Your role"):
        actions.start_writeup(name="wash", title="Wash", author=mechanic, now=NOW)
    assert list(Revision.objects.values_list("text", flat=True)) == [draft.text]


class TestSkeleton(TestCase):
    @settings(max_examples=60, deadline=None)
    @given(
        strategies.text(
            strategies.characters(exclude_categories=("C", "Z"), include_characters=" :#'\"-"),
            min_size=1,
            max_size=60,
        )
    )
    def test_any_title_can_be_read_again(self, title):
        """PyYAML's own safe loader, a general-purpose library, is asked what the header says."""
        wanted = " ".join(title.split())
        header = actions.skeleton(title).split("\n---\n")[0].removeprefix("---\n")
        if wanted:
            assert yaml.safe_load(header) == {"title": wanted}
            assert parse(actions.skeleton(title)).title == wanted


def test_the_text_of_these_tests_rehearses_without_an_error():
    ShopRulesFactory()
    assert not blocks(texts.findings_of(TEXT.format(title="Air spring"), name="air-spring"))
