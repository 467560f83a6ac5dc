"""Is a finding of proofing answered with a reason that stays, and for those who write only?"""

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse

from procedures.actions.proofing import answer_finding
from procedures.actions.writeups import bring_revision, release, send_to_review
from procedures.models import ProofAnswer
from procedures.records.refused import Refused
from procedures.reports.proofing import proof_page
from tests.procedures.book import body_of
from tests.procedures.factories import NOW, TEXT, RevisionFactory, ShopRulesFactory, WriteUpFactory

FOUND = {"rule": "LG-11", "step": "let-air-out", "about": "Wipe off some oil."}


@pytest.fixture
def draft(db):
    text = TEXT.format(title="Demo").replace(
        "Press the valve core until the hiss stops.", "Wipe off some oil."
    )
    return RevisionFactory(text=text)


def told(draft, text=None):
    """The finding on the page, with its answer."""
    page = proof_page(draft.writeup, text or draft.text)
    (one,) = [one for group in page.groups for one in group.found if one.rule == "LG-11"]
    return page, one


def test_an_answer_is_kept_with_who_and_when_and_holds_for_the_next_revision(draft, senior, book):
    kept = answer_finding(
        revision=draft, reason="The amount does not matter.", by=senior, now=NOW, **FOUND
    )
    page, one = told(draft, draft.text.replace("What this is for.", "What this is for, in short."))
    assert (one.answer.reason, one.answer.by, one.answer.at) == (
        "The amount does not matter.",
        str(senior),
        NOW,
    )
    assert (page.open, page.answered, page.blocks) == (0, 1, False)
    assert book == [("proof answer", body_of(kept))]


def test_an_empty_answer_takes_it_back_and_other_words_need_another(draft, senior, book):
    answer_finding(revision=draft, reason="Fine.", by=senior, now=NOW, **FOUND)
    assert told(draft)[1].answer.reason == "Fine."
    _, changed = told(draft, draft.text.replace("Wipe off some oil.", "Wipe off some of the oil."))
    assert changed.is_open
    answer_finding(revision=draft, reason=" ", by=senior, now=NOW, **FOUND)
    assert told(draft)[1].is_open
    with pytest.raises(Refused, match="Say why"):
        answer_finding(revision=draft, reason=" ", by=senior, now=NOW, **FOUND)
    with pytest.raises(Refused, match="this finding is gone"):
        answer_finding(
            revision=draft, reason="Fine.", by=senior, now=NOW, **{**FOUND, "about": "enough"}
        )


def test_a_finding_stands_against_review_and_release_until_it_is_answered(
    draft, senior, second, book
):
    ShopRulesFactory()
    with pytest.raises(Refused, match="needs answers") as refused:
        send_to_review(revision=draft, by=senior, now=NOW)
    assert any("LG-11" in line for line in refused.value.details)
    answer_finding(revision=draft, reason="Any amount will do.", by=senior, now=NOW, **FOUND)
    sent = send_to_review(revision=draft, by=senior, now=NOW)
    answer_finding(revision=sent, reason="", by=second, now=NOW, **FOUND)
    with pytest.raises(Refused, match="needs answers"):
        release(revision=sent, by=second, today=NOW.date(), now=NOW)
    answer_finding(revision=sent, reason="It is wiped off.", by=second, now=NOW, **FOUND)
    assert release(revision=sent, by=second, today=NOW.date(), now=NOW).released_by == second


def test_what_is_brought_in_is_let_in_whatever_the_proofing_finds(draft, book):
    brought = bring_revision(
        writeup=WriteUpFactory(),
        number=1,
        text=draft.text,
        asks="nothing",
        released_on=NOW.date(),
        now=NOW,
    )
    assert proof_page(brought.writeup, brought.text).blocks


def test_nothing_is_answered_once_it_is_released(draft, senior, book):
    released = RevisionFactory(text=draft.text, released=True)
    with pytest.raises(Refused, match="is released"):
        answer_finding(revision=released, reason="Fine.", by=senior, now=NOW, **FOUND)


def test_who_does_not_write_does_not_answer(draft, mechanic):
    with pytest.raises(Refused, match="does not allow you to write"):
        answer_finding(revision=draft, reason="Fine.", by=mechanic, now=NOW, **FOUND)


def test_an_answer_can_not_be_changed_afterwards(draft, senior, book):
    answer_finding(revision=draft, reason="Fine.", by=senior, now=NOW, **FOUND)
    with pytest.raises(DatabaseError, match="stays as it was given"), transaction.atomic():
        ProofAnswer.objects.update(reason="Other.")


def test_the_page_shows_rule_and_source_and_keeps_the_reason(client, draft, senior, book):
    ShopRulesFactory()
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    here = reverse("procedures:revision", args=[draft.writeup.name, 1])
    page = client.get(here).text
    for shown in (
        "1 finding to put right or answer.",
        "LG-11",
        "ASD-STE100 issue 9",
        "Say why it may stay",
    ):
        assert shown in page
    assert "Send to review" not in page
    key = told(draft)[1].key
    sent = client.post(
        reverse("procedures:answer", args=[draft.writeup.name, 1]),
        {"key": key, "reason": "Any will do."},
    )
    assert sent.url == f"{here}#proof-{key}"
    page = client.get(here).text
    for shown in ("Any will do.", senior.name, "1 finding is answered.", "Send to review"):
        assert shown in page
    client.post(
        reverse("procedures:answer", args=[draft.writeup.name, 1]), {"key": key, "reason": ""}
    )
    assert "1 finding to put right or answer." in client.get(here).text
    assert ProofAnswer.objects.count() == 2


@pytest.mark.parametrize(
    "sent",
    [
        {"key": "0" * 16, "reason": "x"},
        {"reason": "x"},
        {"key": "x" * 99, "reason": "x"},
        {"key": "0" * 16, "reason": "x" * 3000},
    ],
)
def test_an_answer_that_fits_no_finding_is_told_and_not_kept(client, draft, senior, sent):
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    page = client.post(
        reverse("procedures:answer", args=[draft.writeup.name, 1]), sent, follow=True
    ).text
    assert "this finding is gone" in page or "is not saved" in page
    assert not ProofAnswer.objects.exists()


def test_the_one_who_reads_sees_no_findings_and_a_released_text_has_no_forms(
    client, draft, trainee, senior
):
    released = RevisionFactory(text=draft.text, released=True)
    here = reverse("procedures:revision", args=[released.writeup.name, 1])
    client.force_login(trainee, backend="training.access.sign_in.ShopBackend")
    assert "What the proofing found" not in client.get(here).text
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    page = client.get(here).text
    assert "What the proofing found" in page
    assert "Save this answer" not in page


def test_while_it_is_written_the_findings_of_the_typed_text_show(client, draft, senior):
    client.force_login(senior, backend="training.access.sign_in.ShopBackend")
    typed = {
        "text": draft.text.replace("Wipe off some oil.", "Wait."),
        "reason": "",
        "asks": "nothing",
        "seen": NOW.isoformat(),
        "check": "yes",
    }
    page = client.post(reverse("procedures:edit", args=[draft.writeup.name, 1]), typed).text
    assert "ST-08" in page
    assert "LG-11" not in page
    assert "Save this answer" not in page


def test_answers_do_not_add_queries(client, draft, senior, book, django_assert_num_queries):
    answer_finding(revision=draft, reason="Fine.", by=senior, now=NOW, **FOUND)
    with django_assert_num_queries(1):
        proof_page(draft.writeup, draft.text)
    for _ in range(20):
        answer_finding(revision=draft, reason="Fine.", by=senior, now=NOW, **FOUND)
    with django_assert_num_queries(1):
        proof_page(draft.writeup, draft.text)
