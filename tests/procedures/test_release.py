"""Is a revision released by another person, only when it rehearses, and for good?"""

import datetime
import hashlib

import pytest
from django.db import IntegrityError, transaction

from procedures.actions import writeups as actions
from procedures.models import Revision, ShopRules
from procedures.records.refused import Refused
from tests.procedures.factories import NOW, RULES, RevisionFactory, ShopRulesFactory, WriteUpFactory

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 11, 25)
GUARD_OFF = "### Take the guard off {#guard-off}\nends: shaft guarded\n\nTake the guard off.\n"


@pytest.fixture(autouse=True)
def _rules():
    ShopRulesFactory()


def release(revision, by, **more):
    return actions.release(revision=revision, by=by, today=TODAY, now=NOW, **more)


def with_guard_left(revision):
    revision.text = revision.text.replace(GUARD_OFF, "")
    revision.save()
    return revision


def test_the_way_from_draft_to_release(senior, second, book):
    draft = actions.start_writeup(name="air-spring", title="Air spring", author=senior, now=NOW)
    text = draft.text.replace("\n---\n", "\nlevel: air-spring\n---\n", 1)
    actions.save_draft(
        revision=draft, text=text, reason="", asks="nothing", by=senior, now=NOW, seen=None
    )
    sent = actions.send_to_review(revision=draft, by=senior, now=NOW)
    released = release(sent, second, seen=sent.changed_at)
    assert (released.released_on, released.released_by, released.author) == (TODAY, second, senior)
    assert released.digest == hashlib.sha256(released.text.encode()).hexdigest()
    assert [kind for kind, _ in book] == ["write-up", "release"]
    assert book[-1][1]["text_sha256"] == released.digest


def test_the_digest_is_the_published_one():
    """The example "abc" of FIPS 180-4, as NIST publishes it among its SHA-256 examples; the value
    is from memory.
    """
    wanted = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert Revision(text="abc").text_digest() == wanted


def test_a_draft_that_leaves_the_guard_on_does_not_go_to_review(senior):
    draft = with_guard_left(RevisionFactory(author=senior))
    with pytest.raises(Refused, match="finds errors") as refused:
        actions.send_to_review(revision=draft, by=senior, now=NOW)
    assert any("shaft guarded" in line for line in refused.value.details)


def test_nor_is_it_released(senior, second, book):
    revision = with_guard_left(RevisionFactory(author=senior, in_review=True))
    with pytest.raises(Refused, match="finds errors"):
        release(revision, second)
    assert book == []


def test_the_rules_in_force_at_the_release_count(senior, second, book):
    revision = RevisionFactory(author=senior, in_review=True)
    ShopRulesFactory(text=RULES.replace("[shaft guarded]", "[shaft guarded, air let out]"))
    with pytest.raises(Refused, match="finds errors"):
        release(revision, second)


def test_the_author_does_not_release(senior):
    revision = RevisionFactory(author=senior, in_review=True)
    with pytest.raises(Refused, match="another person"):
        release(revision, senior)
    with pytest.raises(IntegrityError), transaction.atomic():
        Revision.objects.filter(pk=revision.pk).update(released_by=senior)


def test_who_may_not_release_is_refused(mechanic, senior):
    with pytest.raises(Refused, match="Your role"):
        release(RevisionFactory(author=senior, in_review=True), mechanic)


def test_who_may_not_write_sends_nothing_to_review_and_nothing_back(mechanic):
    with pytest.raises(Refused, match="Your role"):
        actions.send_to_review(revision=RevisionFactory(), by=mechanic, now=NOW)
    with pytest.raises(Refused, match="Your role"):
        actions.send_back(revision=RevisionFactory(in_review=True), by=mechanic, reason="No.")


def test_a_draft_is_not_released(senior, second):
    with pytest.raises(Refused, match="review first"):
        release(RevisionFactory(author=senior), second)


def test_it_is_released_once(senior, second, owner, book):
    revision = release(RevisionFactory(author=senior, in_review=True), second)
    with pytest.raises(Refused, match="already"):
        release(revision, owner)
    assert [kind for kind, _ in book].count("release") == 1


def test_a_text_that_changed_since_it_was_read_is_not_released(senior, second):
    revision = RevisionFactory(author=senior, in_review=True)
    with pytest.raises(Refused, match="Read it again"):
        release(revision, second, seen=NOW - datetime.timedelta(minutes=1))


def test_a_review_sends_back_with_a_reason(senior, second):
    revision = RevisionFactory(author=senior, in_review=True)
    with pytest.raises(Refused, match="Say why"):
        actions.send_back(revision=revision, by=second, reason="  ")
    back = actions.send_back(revision=revision, by=second, reason="Say which pliers.")
    assert (back.state(latest_released=None), back.sent_back_because) == (
        "draft",
        "Say which pliers.",
    )
    assert actions.send_to_review(revision=back, by=senior, now=NOW).sent_back_because == ""


def test_only_what_is_in_review_is_sent_back(second):
    for revision in (RevisionFactory(), RevisionFactory(released=True)):
        with pytest.raises(Refused, match="not in review"):
            actions.send_back(revision=revision, by=second, reason="No.")


def test_a_write_up_follows_another_released_one(senior, second, book):
    legs = WriteUpFactory(name="lower-leg-removal")
    text = (
        "---\ntitle: Cap\nlevel: air-spring\nfollows: lower-leg-removal\ngiven: fork in the "
        "stand\n---\nFor trying.\n\n### Look at the cap {#look}\n\nLook at the cap.\n"
    )
    revision = RevisionFactory(text=text, author=senior, in_review=True)
    with pytest.raises(Refused, match="finds errors"):
        release(revision, second)
    leaving = (
        "---\ntitle: Legs\nleaves: fork in the stand\n---\n### Clamp the fork {#clamp}\nmakes: "
        "fork in the stand\n\nClamp the fork.\n"
    )
    RevisionFactory(writeup=legs, text=leaving, released=True)
    assert release(revision, second).released_on == TODAY


def test_the_write_up_takes_the_title_of_its_newest_revision(senior, second, book):
    revision = RevisionFactory(author=senior, in_review=True)
    revision.text = revision.text.replace(
        f"title: {revision.writeup.title}", "title: Air spring, all forks"
    )
    revision.save()
    assert release(revision, second).writeup.title == "Air spring, all forks"


@pytest.mark.parametrize(
    "change", [{"text": "other"}, {"released_on": None, "digest": ""}, {"number": 9}]
)
def test_the_database_changes_no_released_revision(change):
    revision = RevisionFactory(released=True)
    with pytest.raises(IntegrityError, match="neither changed nor deleted"), transaction.atomic():
        Revision.objects.filter(pk=revision.pk).update(**change)
    with pytest.raises(IntegrityError, match="neither changed nor deleted"), transaction.atomic():
        Revision.objects.filter(pk=revision.pk).delete()


def test_the_database_lets_a_draft_change_and_go():
    draft = RevisionFactory()
    assert Revision.objects.filter(pk=draft.pk).update(text="other") == 1
    assert Revision.objects.filter(pk=draft.pk).delete()[0] == 1


def test_a_released_revision_without_its_hash_is_no_row():
    with pytest.raises(IntegrityError), transaction.atomic():
        RevisionFactory(released=True, digest="")


def test_a_brought_revision_is_released_by_nobody_and_recorded(book):
    writeup = actions.bring_writeup(name="air-spring", title="Air spring")
    assert actions.bring_writeup(name="air-spring", title="Other") == writeup
    text = (
        "---\ntitle: Air spring service\nreleased: 2025-03-01\nasks: read again\n---\n### Look "
        "{#look}\n\nLook.\n"
    )
    brought = actions.bring_revision(
        writeup=writeup,
        number=1,
        text=text,
        asks="read again",
        released_on=datetime.date(2025, 3, 1),
        now=NOW,
    )
    assert (brought.author, brought.released_by, brought.released_on) == (
        None,
        None,
        datetime.date(2025, 3, 1),
    )
    assert "released:" not in brought.text
    assert "asks:" not in brought.text
    assert brought.writeup.title == "Air spring service"
    assert book[-1][1]["released_on"] == datetime.date(2025, 3, 1)


def test_a_number_is_brought_once(book):
    old = RevisionFactory(released=True)
    with pytest.raises(Refused, match="of that number already"):
        actions.bring_revision(
            writeup=old.writeup, number=1, text=old.text, asks="nothing", released_on=TODAY, now=NOW
        )


def test_rules_are_kept_version_by_version(senior, book):
    seen = ShopRules.objects.last().pk
    kept = actions.set_rules(text="temporary: [shaft guarded]\n", author=senior, now=NOW, seen=seen)
    assert ShopRules.objects.last() == kept
    assert book == [("shop rules", {"text": kept.text, "author": senior.login, "recorded_at": NOW})]
    with pytest.raises(Refused, match="newer rules"):
        actions.set_rules(text="temporary: []\n", author=senior, now=NOW, seen=seen)


def test_rules_that_cannot_be_read_are_refused(senior, book):
    with pytest.raises(Refused, match="line 1"):
        actions.set_rules(text="dangers: [air chamber]\n", author=senior, now=NOW)
    assert book == []


def test_the_database_keeps_every_version_of_the_rules():
    kept = ShopRules.objects.last()
    with pytest.raises(IntegrityError, match="kept as they were written"), transaction.atomic():
        ShopRules.objects.filter(pk=kept.pk).update(text="safe: {}")
    with pytest.raises(IntegrityError, match="kept as they were written"), transaction.atomic():
        kept.delete()


def test_nobody_who_changed_the_draft_releases_it_even_if_somebody_changed_it_after_them(
    senior, owner
):
    first = actions.start_writeup(name="two-hands", title="Two hands", author=senior, now=NOW)
    actions.save_draft(
        revision=first,
        text=first.text.replace("\n---\n", "\nlevel: air-spring\n---\n", 1),
        reason="",
        asks="nothing",
        by=owner,
        now=NOW,
        seen=None,
    )
    actions.send_to_review(revision=first, by=owner, now=NOW)
    for writer in (senior, owner):
        with pytest.raises(Refused, match="another person must release"):
            actions.release(revision=first, by=writer, today=TODAY, now=NOW)


def test_a_draft_that_came_in_from_a_folder_is_not_sent_and_released_by_one_person(senior, second):
    sent = actions.send_to_review(revision=RevisionFactory(), by=senior, now=NOW)
    assert sent.author == senior
    with pytest.raises(Refused, match="another person"):
        release(sent, senior)
    assert release(sent, second).released_by == second
