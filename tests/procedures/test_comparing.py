"""Is what a change asks lowered only with a reason, told to the reviewer, kept in the book and
sealed with the release?
"""

import datetime
import re

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from procedures.actions import writeups as actions
from procedures.actions.comparing import ask_of_change
from procedures.models import AskedOfChange, Revision
from procedures.records.asking import find_base, list_asked, work_out_least
from procedures.records.refused import Refused
from tests.procedures.factories import NOW, RevisionFactory, ShopRulesFactory

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 11, 25)
VALUE = ("by a quarter turn", "by half a turn")  # in the step open-chamber: answer again
# in let-air-out: show again
CRITICAL = ("Keep your face away from the valve.", "Press the valve core with the tool.")


@pytest.fixture(autouse=True)
def _rules():
    ShopRulesFactory()


def changed(text, *swaps):
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    return text


@pytest.fixture
def draft(senior):
    released = RevisionFactory(released=True)
    return saved(
        actions.start_revision(writeup=released.writeup, author=senior, now=NOW), senior, VALUE
    )


def saved(draft, by, *swaps, asks="nothing"):
    text = changed(draft.text, *swaps)
    return actions.save_draft(
        revision=draft, text=text, reason="", asks=asks, by=by, now=NOW, seen=None
    )


def decide(draft, by, asks, reason="", step="open-chamber"):
    seen = next(
        (
            one.change.digest
            for one in list_asked(draft, find_base(draft))
            if one.change.key == step
        ),
        "",
    )
    return ask_of_change(
        revision=draft, step=step, asks=asks, reason=reason, by=by, now=NOW, seen=seen
    )


def test_a_draft_asks_at_least_what_its_changes_ask(draft, senior):
    assert draft.asks == "answer again"
    assert saved(draft, senior, CRITICAL).asks == "show again"


def test_more_is_asked_freely_for_the_whole_or_for_one_change(draft, senior):
    assert saved(draft, senior, asks="show again").asks == "show again"
    assert decide(draft, senior, "show again").asks == "show again"


def test_a_first_revision_asks_nobody_to_learn_anew(senior):
    draft = actions.start_writeup(name="new", title="New", author=senior, now=NOW)
    assert saved(draft, senior, ("Put on the eye protection.\n", "Wear it.\n")).asks == "nothing"
    assert find_base(draft) is None


def test_less_is_asked_only_with_a_reason(draft, senior):
    with pytest.raises(Refused, match="Say why"):
        decide(draft, senior, "nothing", reason="  ")
    lowered = decide(draft, senior, "nothing", reason="Everybody turns it by half a turn already.")
    assert lowered.asks == "nothing"
    assert saved(lowered, senior, ("What this is for.", "What this is good for.")).asks == "nothing"


def test_a_reason_counts_for_the_change_that_it_was_given_for(draft, senior):
    decide(draft, senior, "nothing", reason="Known.")
    again = saved(Revision.objects.get(pk=draft.pk), senior, ("by half a turn", "by two turns"))
    assert again.asks == "answer again"


def test_who_asks_for_less_does_not_release(draft, senior, second, owner):
    decide(draft, second, "read again", reason="Known.")
    sent = actions.send_to_review(revision=draft, by=senior, now=NOW)
    for person in (senior, second):
        with pytest.raises(Refused, match="another person"):
            actions.release(revision=sent, by=person, today=TODAY, now=NOW)
    assert actions.release(revision=sent, by=owner, today=TODAY, now=NOW).asks == "read again"


def test_a_revision_that_asks_less_than_its_changes_goes_nowhere(draft, senior, second):
    Revision.objects.filter(pk=draft.pk).update(asks="nothing")
    with pytest.raises(Refused, match="its changes ask “answer again”"):
        actions.send_to_review(revision=draft, by=senior, now=NOW)
    Revision.objects.filter(pk=draft.pk).update(sent_to_review_at=NOW)
    with pytest.raises(Refused, match="its changes ask “answer again”"):
        actions.release(revision=draft, by=second, today=TODAY, now=NOW)


def test_in_review_the_releasing_person_asks_for_more_but_not_for_less(draft, senior, second):
    decide(draft, senior, "nothing", reason="Known.")
    sent = actions.send_to_review(revision=draft, by=senior, now=NOW)
    with pytest.raises(Refused, match="another person"):
        decide(sent, senior, "show again")
    raised = decide(sent, second, "read again")
    assert raised.asks == "read again"
    assert AskedOfChange.objects.get().reason == "Known."
    with pytest.raises(Refused, match="not for less"):
        decide(raised, second, "nothing")
    later = NOW + datetime.timedelta(minutes=1)
    seen = list_asked(raised, find_base(raised))[0].change.digest
    more = ask_of_change(
        revision=raised,
        step="open-chamber",
        asks="show again",
        reason="",
        by=second,
        now=later,
        seen=seen,
    )
    with pytest.raises(Refused, match="Read it again"):
        actions.release(revision=more, by=second, today=TODAY, now=NOW, seen=NOW)
    assert (
        actions.release(revision=more, by=second, today=TODAY, now=NOW, seen=later).asks
        == "show again"
    )


@pytest.mark.parametrize("step", ["squeeze-ring", "nowhere"])
def test_what_did_not_change_asks_nothing(draft, senior, step):
    with pytest.raises(Refused, match="is different now"):
        decide(draft, senior, "show again", step=step)


def test_only_those_who_write_decide_and_only_with_a_word_that_is_known(draft, senior, mechanic):
    with pytest.raises(Refused, match="Your role"):
        decide(draft, mechanic, "show again")
    with pytest.raises(Refused, match="Choose"):
        decide(draft, senior, "shout")


def test_the_book_keeps_the_decisions_and_the_database_seals_them(draft, senior, second, book):
    decide(draft, senior, "nothing", reason="Known.")
    sent = actions.send_to_review(revision=draft, by=senior, now=NOW)
    released = actions.release(revision=sent, by=second, today=TODAY, now=NOW)
    (told,) = [body for kind, body in book if kind == "release"]
    (decision,) = told["decisions"]
    assert (
        decision["step"],
        decision["asks"],
        decision["suggested"],
        decision["reason"],
        decision["by"],
    ) == ("open-chamber", "nothing", "answer again", "Known.", senior.login)
    row = AskedOfChange.objects.get()
    for write in (
        lambda: AskedOfChange.objects.filter(pk=row.pk).update(reason="Other."),
        row.delete,
        lambda: AskedOfChange.objects.create(
            revision=released,
            step="x",
            asks="nothing",
            suggested="nothing",
            change="",
            by=senior,
            at=NOW,
        ),
    ):
        with pytest.raises(IntegrityError, match="before the release"), transaction.atomic():
            write()
    with pytest.raises(Refused, match="released"):
        ask_of_change(
            revision=released,
            step="open-chamber",
            asks="show again",
            reason="",
            by=senior,
            now=NOW,
            seen=row.change,
        )


def test_a_release_without_decisions_is_booked_as_ever(draft, senior, second, book):
    sent = actions.send_to_review(revision=draft, by=senior, now=NOW)
    actions.release(revision=sent, by=second, today=TODAY, now=NOW)
    (told,) = [body for kind, body in book if kind == "release"]
    assert "decisions" not in told


# --- the pages


def page(client, who, draft, **query):
    client.force_login(who)
    return client.get(reverse("procedures:compare", args=[draft.writeup.name, draft.number]), query)


def test_the_comparison_marks_words_and_says_what_is_asked(client, draft, senior):
    text = page(client, senior, draft).text
    assert "<del>quarter</del>" in text
    assert "<ins>half</ins>" in text
    assert "answer again" in text
    assert "a figure or a unit in the text changed" in text


def test_a_change_is_drawn_as_the_write_up_looks_or_told_in_words(client, draft, senior):
    for asked in ({}, {"as": "beside"}):
        text = page(client, senior, draft, **asked).text
        assert 'class="run"' not in text
        before, now = text.split('<div class="drawn">')[1].split(">Now<")
        assert 'class="step' in before
        assert 'class="step' in now
        assert 'class="safety warning"' in before
        assert "<del>quarter</del>" in before
        assert "<ins>half</ins>" in now
    text = page(client, senior, draft, **{"as": "run"}).text
    assert 'class="run"' in text
    assert 'class="drawn"' not in text


def test_drawings_stand_before_and_now_and_no_source_text_is_shown(client, draft, senior):
    words = "Put the guard on the shaft."
    first = RevisionFactory(
        released=True,
        text=draft.text.replace(
            words, f"{words} Turn [[2 .. 3 turns]].\n\n![The guard](drawing:shaft-guard)"
        ),
    )
    second = actions.start_revision(writeup=first.writeup, author=senior, now=NOW)
    saved(
        second,
        senior,
        ("[[2 .. 3 turns]]", "[[3 .. 4 turns]]"),
        ("![The guard](drawing:shaft-guard)", "![The jaws](drawing:soft-jaws)"),
    )
    text = page(client, senior, second).text
    before, now = text.split('<div class="drawn">')[1].split(">Now<")
    assert "<del><svg" in before
    assert "<ins><svg" in now.split("</section>")[0]
    ids = re.findall(r'\sid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    for asked in ({}, {"as": "run"}):
        text = page(client, senior, second, **asked).text
        for source in ("[[", "]]", "](drawing:", "!["):
            assert source not in text, source


def test_of_a_long_text_that_stayed_only_what_is_near_a_change_is_shown(client, draft, senior):
    long = " ".join(f"word{number}" for number in range(200))
    text = draft.text.replace("What this is for.", f"What this is for. {long} Twice.")
    first = RevisionFactory(released=True, text=text)
    third = actions.start_revision(writeup=first.writeup, author=senior, now=NOW)
    saved(third, senior, ("Twice.", "Three times."))
    text = page(client, senior, third, **{"as": "run"}).text
    assert "word199 <del>Twice.</del> <ins>Three times.</ins>" in text
    assert "…" in text
    assert "word90" not in text


def test_whoever_may_not_see_a_draft_compares_released_ones_only(client, draft, trainee):
    assert page(client, trainee, draft).status_code == 404
    first = Revision.objects.get(writeup=draft.writeup, number=1)
    assert page(client, trainee, first, **{"with": "2"}).status_code == 404
    assert "nothing to compare" in page(client, trainee, first).text


def test_any_two_revisions_the_older_one_first(client, draft, senior):
    first = Revision.objects.get(writeup=draft.writeup, number=1)
    text = page(client, senior, first, **{"with": "2"}).text
    assert "from revision 1 to revision 2" in text


def test_a_decision_is_made_on_the_page_and_the_reviewer_reads_the_reason(
    client, draft, senior, second
):
    client.force_login(senior)
    (one,) = list_asked(draft, find_base(draft))
    sent = {
        "step": "open-chamber",
        "asks": "nothing",
        "reason": "Known <b>by</b>\u202e all.",
        "change": one.change.digest,
    }
    client.post(reverse("procedures:ask", args=[draft.writeup.name, 2]), sent)
    assert work_out_least(draft) == "nothing"
    client.post(reverse("procedures:send-to-review", args=[draft.writeup.name, 2]))
    client.force_login(second)
    text = client.get(reverse("procedures:revision", args=[draft.writeup.name, 2])).text
    assert "Known &lt;b&gt;by&lt;/b&gt; all." in text
    assert "asks “nothing”, should ask “answer again”" in text


def test_the_editor_says_that_the_changes_ask_for_more(client, draft, senior):
    client.force_login(senior)
    address = reverse("procedures:edit", args=[draft.writeup.name, 2])
    sent = {
        "text": draft.text,
        "reason": "",
        "asks": "nothing",
        "seen": draft.changed_at.isoformat(),
        "save": "yes",
    }
    assert "The revision now asks “answer again”" in client.post(address, sent, follow=True).text
