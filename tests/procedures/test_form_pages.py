"""Can a write-up be written without knowing its language, and is nothing typed on a form lost?"""

import datetime

import pytest
from django.urls import reverse

from procedures.models import Revision
from procedures.reports.desk import check_text
from procedures.writeup.heads import read_head
from procedures.writeup.parse import parse
from tests.procedures.browser import all_forms, sends
from tests.procedures.factories import NOW, RevisionFactory, ShopRulesFactory

pytestmark = pytest.mark.django_db

TEXT = """---
# the demo's head
title: Demo fork
level: nowhere
variants:
  ring: [eyelet, prong, spiral]
  bumper: [fitted, none]
never: [ring=prong;bumper=none]
given: [fork in the stand]
---
What it is for.

## Make it safe

### Let the air out {#air}
only if: ring=eyelet|prong
tool: pump
tool: rag
check: clean | stop

!!! warning "Air"
    hazard: Air stays in.
    harm: A cap can blind.
    avoid: Press again.

Press the valve.

Press it again.

### Wait {#wait}
after: air

Wait.
"""


def address(page, draft, *more):
    return reverse(f"procedures:{page}", args=[draft.writeup.name, draft.number, *more])


@pytest.fixture
def writer(client, senior):
    client.force_login(senior)
    return client


@pytest.fixture
def draft(second):
    ShopRulesFactory(text="safe: {air chamber: air let out}\n")
    return RevisionFactory(author=second, writers=[second.pk], text=TEXT)


def sent(response, name="form", **changed):
    """What a browser sends of a page as it came, with some fields changed."""
    about = vars(response.context["rows"]).values() if "rows" in response.context else ()
    rows = [value for value in about if hasattr(value, "forms")]
    return dict(sends(*all_forms(response.context[name], rows), **changed).lists())


def test_what_is_sent_as_it_came_leaves_the_text_letter_by_letter(writer, draft):
    for page, more in (("form-head", ()), ("form-part", ("air",)), ("form-part", ("phase.1",))):
        there = address(page, draft, *more)
        response = writer.post(there, sent(writer.get(there)))
        assert response.status_code == 302, response.context["form"].errors
        assert Revision.objects.get().text == TEXT


def test_the_head_is_changed_in_its_own_lines(writer, draft):
    there = address("form-head", draft)
    more = {"given": "fork in the stand\nlower legs off", "intro": "What else.", "interval": "9 h"}
    writer.post(there, sent(writer.get(there), **more, **{"forks-1-answers": "fitted; none; new"}))
    text = Revision.objects.get().text
    old = [
        "What it is for.",
        "  bumper: [fitted, none]",
        "given: [fork in the stand]",
        "level: nowhere",
    ]
    new = [
        "What else.",
        "  bumper: [fitted, none, new]",
        "given: [fork in the stand, lower legs off]",
        "level: nowhere\ninterval: 9 h",
    ]
    wanted = TEXT
    for before, after in zip(old, new, strict=True):
        wanted = wanted.replace(before, after)
    assert text == wanted


def test_rows_are_added_and_taken_out_without_a_script_and_nothing_typed_is_lost(writer, draft):
    there = address("form-head", draft)
    response = writer.post(there, sent(writer.get(there), title="Typed", add="forks"))
    assert [row["question"].value() for row in response.context["rows"].forks] == [
        "ring",
        "bumper",
        None,
    ]
    assert response.context["form"]["title"].value() == "Typed"
    response = writer.post(there, sent(response, remove="forks-0"))
    response = writer.post(there, sent(response))
    assert read_head(Revision.objects.get().text).variants[0][0] == "bumper"

    there = address("form-part", draft, "air")
    response = writer.post(there, sent(writer.get(there), add="cautions", makes="air let out"))
    rows = {
        "cautions-1-word": "notice",
        "cautions-1-title": "Oil",
        "cautions-1-hazard": "It stains.",
    }
    response = writer.post(there, sent(response, **rows))
    step = parse(Revision.objects.get().text).steps[0]
    assert [caution.title for caution in step.cautions] == ["Air", "Oil"]
    assert step.makes == ("air let out",)


def test_a_step_is_added_moved_split_and_taken_out(writer, draft):
    there = address("form-add", draft, "air")
    fields = sent(writer.get(there), title="Open it", body="Open it.", opens=["air chamber"])
    checked = writer.post(there, fields | {"check": "yes"})
    assert "opens-unsafe" in {
        one.name for one in check_text(draft, TEXT + "\n### Open\nopens: air chamber\n", {}).beside
    }
    assert [one.name for one in checked.context["page"].found][:1] == ["opens-unsafe"]
    assert Revision.objects.get().text == TEXT
    writer.post(there, fields)
    seen = Revision.objects.get().changed_at.isoformat()
    writer.post(address("form-move", draft), {"key": "open-it", "way": "down", "seen": seen})
    assert [step.id for step in parse(Revision.objects.get().text).steps] == [
        "air",
        "wait",
        "open-it",
    ]
    there = address("form-split", draft, "air")
    page = writer.get(there)
    lines = [line for line, text in page.context["form"].fields["moved"].choices if "rag" in text]
    start = page.context["form"].fields["start"].choices[-1][0]
    writer.post(there, sent(page, title="Press again", start=start, moved=lines))
    steps = {step.id: step for step in parse(Revision.objects.get().text).steps}
    assert list(steps) == ["air", "press-again", "wait", "open-it"]
    assert (steps["air"].tools, steps["press-again"].tools) == (("pump",), ("rag",))
    seen = Revision.objects.get().changed_at.isoformat()
    refused = writer.post(
        address("form-take-out", draft), {"key": "air", "seen": seen}, follow=True
    )
    assert "names it" in refused.text
    writer.post(address("form-take-out", draft), {"key": "open-it", "seen": seen})
    assert "open-it" not in Revision.objects.get().text


def test_a_step_is_changed_as_text_too_and_a_wrong_text_comes_back(writer, draft):
    there = address("form-part", draft, "wait")
    fields = sent(writer.get(there), "text_form")
    wrong = writer.post(there, fields | {"text": "typed without a heading"})
    assert "begins with its heading" in wrong.text
    assert "typed without a heading" in wrong.text
    writer.post(there, fields | {"text": "### Wait longer {#wait}\nafter: air\n\nWait."})
    assert parse(Revision.objects.get().text).steps[1].title == "Wait longer"


@pytest.mark.parametrize("theirs", [TEXT.replace("rag", "cloth"), TEXT.partition("### Wait")[0]])
def test_two_at_once_see_both_texts_and_lose_nothing(writer, draft, theirs):
    there = address("form-part", draft, "wait")
    fields = sent(writer.get(there), body="Wait for my words.")
    later = NOW + datetime.timedelta(hours=1)
    Revision.objects.filter(pk=draft.pk).update(text=theirs, changed_at=later)
    draft.earlier_texts.create(changed_at=draft.changed_at, text=TEXT)
    clash = writer.post(there, fields)
    assert "Your text is not saved, but it is not lost." in clash.text
    assert "Wait for my words." in clash.context["form"]["text"].value()
    assert Revision.objects.get().text == theirs
    moved = {"key": "wait", "way": "up", "seen": draft.changed_at.isoformat()}
    said = writer.post(address("form-move", draft), moved, follow=True).text
    assert "Somebody changed this draft" in said
    assert Revision.objects.get().text == theirs


def test_findings_stand_at_their_step(writer, draft):
    page = writer.get(address("form", draft)).context["page"]
    by_key = {part.key: [one.name for one in part.found] for part in page.parts}
    text = TEXT.replace("Wait.\n", "Wait.\n").replace("after: air", "after: air; none")
    Revision.objects.filter(pk=draft.pk).update(text=text)
    page = writer.get(address("form", draft)).context["page"]
    now = {part.key: [one.name for one in part.found] for part in page.parts}
    assert "out-of-order" in set(now["wait"]) - set(by_key["wait"])
    assert now["air"] == by_key["air"]


def test_a_long_draft_is_folded_but_for_what_is_wrong_or_asked_for(writer, draft):
    steps = "".join(f"\n### Step {number} {{#s{number}}}\n\nDo it.\n" for number in range(1, 61))
    text = TEXT.partition("\n## Make")[0] + steps.replace("#s7}\n", "#s7}\nneeds: no such\n")
    Revision.objects.filter(pk=draft.pk).update(text=f"{text}\n## Last\n\n### End\n\nStop.\n")
    there = address("form", draft)

    def opened(**asked):
        answer = writer.get(there, asked, follow=True)
        outline = answer.context["page"].outline
        folds = {fold.numbers: fold.is_open for fold in outline.folds}
        assert list(folds) == ["1–20", "21–40", "41–60", "61"]
        return [numbers for numbers, is_open in folds.items() if is_open], outline, answer

    folds, outline, answer = opened()
    assert (folds, outline.next_found) == (["1–20"], "s7")
    assert 'href="?open=s7#part-s7"' in answer.text
    folds, outline, answer = opened(step="50")
    assert answer.redirect_chain[0][0] == f"{there}?open=s50#part-s50"
    assert folds == ["1–20", "41–60"]
    # Every part stands on the page, so that a browser finds its words.
    assert [f"part-s{number}" in answer.text for number in range(1, 61)] == [True] * 60
    assert "no step of this number" in opened(step="99")[2].text
    assert [part.key for part in outline.folds[0].steps if part.has_error] == ["s7"]


def test_a_revision_in_review_is_not_written_as_a_form(writer, draft):
    Revision.objects.filter(pk=draft.pk).update(sent_to_review_at=NOW)
    for page, more in (("form", ()), ("form-head", ()), ("form-part", ("air",))):
        assert writer.get(address(page, draft, *more)).status_code == 302
    assert writer.get(address("form-part", draft, "none")).status_code == 302


JUNK = {
    "seen": "never",
    "title": "x" * 300,
    "body": "### two\n```",
    "forks-TOTAL_FORMS": "99999999",
    "cautions-TOTAL_FORMS": "-1",
    "opens": "no such danger",
    "key": "none",
}


@pytest.mark.parametrize("more", [{}, {"add": "none"}, {"remove": "forks-x"}, {"text": "x"}])
def test_a_page_that_was_not_sent_as_it_was_made_is_answered_and_changes_nothing(
    writer, draft, more
):
    pages = [("form-head",), ("form-part", "air"), ("form-part", "phase.1"), ("form-add", "air")]
    pages += [("form-split", "air"), ("form-move",), ("form-take-out",)]
    for page, *args in pages:
        for sent_ in ({}, JUNK):
            status = writer.post(address(page, draft, *args), sent_ | more).status_code
            assert status in (200, 302)
    assert Revision.objects.get().text == TEXT
