"""Is a finding of proofing answered with a reason that stays, and for those who write only?"""

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse

from procedures.actions.proofing import answer_finding
from procedures.models import ProofAnswer
from procedures.refused import Refused
from procedures.reports.proofing import proof_page
from tests.procedures.factories import NOW, TEXT, RevisionFactory

FOUND = {"rule": "LG-11", "step": "let-air-out", "about": "Wipe off some oil."}


@pytest.fixture
def draft(db):
    text = TEXT.format(title="Demo").replace("Press the valve core until", "Wipe off some oil.\n\nPress the valve core until")
    return RevisionFactory(text=text)


def test_an_answer_is_kept_with_who_and_when_and_holds_for_the_next_revision(draft, senior):
    answer_finding(revision=draft, reason="The amount does not matter.", by=senior, now=NOW, **FOUND)
    later = draft.text.replace("What this is for.", "What this is for, in short.")
    (answered,) = proof_page(draft.writeup, later).answered
    assert (answered.reason, answered.by, answered.at) == ("The amount does not matter.", str(senior), NOW)
    assert all(one.about != "some" for one in proof_page(draft.writeup, later).open)


def test_an_empty_answer_takes_it_back_and_other_words_need_another(draft, senior):
    answer_finding(revision=draft, reason="Fine.", by=senior, now=NOW, **FOUND)
    answer_finding(revision=draft, reason=" ", by=senior, now=NOW, **FOUND)
    assert "some" in {one.about for one in proof_page(draft.writeup, draft.text).open}
    with pytest.raises(Refused, match="not there any more"):
        answer_finding(revision=draft, reason="Fine.", by=senior, now=NOW, **{**FOUND, "about": "enough"})


def test_who_does_not_write_does_not_answer(draft, mechanic):
    with pytest.raises(Refused, match="does not allow writing"):
        answer_finding(revision=draft, reason="Fine.", by=mechanic, now=NOW, **FOUND)


def test_an_answer_can_not_be_changed_afterwards(draft, senior):
    answer_finding(revision=draft, reason="Fine.", by=senior, now=NOW, **FOUND)
    with pytest.raises(DatabaseError, match="stays as it was given"), transaction.atomic():
        ProofAnswer.objects.update(reason="Other.")


def test_the_page_shows_rule_and_source_and_keeps_the_reason(client, draft, senior):
    client.force_login(senior, backend="training.sign_in.ShopBackend")
    here = reverse("procedures:revision", args=[draft.writeup.name, 1])
    page = client.get(here).text
    assert "no vague amounts" in page
    assert "LG-11" in page
    sent = client.post(reverse("procedures:answer", args=[draft.writeup.name, 1]), {**FOUND, "reason": "Any will do."})
    assert sent.url == here + "#proofing"
    assert "Any will do." in client.get(here).text
