"""Is a question the same whether it is written as a form or as text, and is it shown as its sitter
will see it?
"""

from dataclasses import replace
from pathlib import Path

import pytest
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from quizzes.kinds.kind import QuestionText
from quizzes.kinds.registry import KINDS
from quizzes.kinds.spots import Box
from quizzes.marking.texts import read_questions
from quizzes.marking.writing import make_entry, write_entries, write_questions
from quizzes.models import QuestionVersion
from quizzes.reports.preview import newest_text
from quizzes.views.forms.written.common import Offers
from quizzes.views.forms.written.registry import WRITTEN
from tests.procedures.browser import all_forms, sends

DEMO = sorted((Path(__file__).parents[2] / "fixtures" / "questions").glob("*.yaml"))
OFFERS = Offers((("a", "1. A"), ("b", "2. B")), (("ring", "Ring"),), (("ring", ("eyelet",)),))
WORDS = st.text("ab: #-é\"'|", min_size=1, max_size=12).map(str.strip).filter(bool)
LONG = st.one_of(WORDS, st.tuples(WORDS, WORDS).map("\n\n".join))
NUMBERS = st.integers(-9_000, 9_000)
SIZES = st.integers(1, 9_000)
OWN = {
    "choose one": st.lists(WORDS, min_size=2, max_size=5, unique=True).map(
        lambda texts: {
            "options": [
                {"text": text, **({"right": True} if at == 0 else {"says": "why"})}
                for at, text in enumerate(texts)
            ]
        }
    ),
    "choose all": st.lists(WORDS, min_size=2, max_size=5, unique=True).map(
        lambda texts: {"options": [{"text": text, "right": True} for text in texts]}
    ),
    "put in order": st.sampled_from(
        [{}, {"variant": {"ring": "eyelet"}}, {"variant": {"gone": "not known"}}]
    ),
    "give the amount": st.sampled_from([{"amount": "24 ± 2 N·m"}, {"amount": "20..30 %"}]),
    "match": st.tuples(st.lists(WORDS, min_size=2, max_size=4, unique=True), WORDS).map(
        lambda said: {
            "pairs": [{"left": text, "right": f"{text} x"} for text in said[0]],
            "spare": [f"{said[1]} y"],
        }
    ),
    "point at it": st.tuples(NUMBERS, NUMBERS, SIZES, SIZES).map(
        lambda at: {
            "drawing": "ring",
            "regions": [
                {"x": at[0], "y": at[1], "width": at[2], "height": at[3]},
                {"x": at[1], "y": at[0], "radius": at[2]},
            ],
        }
    ),
}


def question_of(kind, own, stem, says, *, critical):
    entry = {"name": "one", "kind": kind, "steps": ["b", "gone"], "stem": stem} | own
    entry |= {"says": says, "critical": critical}
    return read_questions(write_entries("demo", [entry]))[0]


def written(question, offers=OFFERS, **changed):
    """What the form of a question states when a browser sends it as it came."""
    made = WRITTEN[question.asked.kind]
    shown = tuple((name, name) for name in question.asked.drawings())
    offers = replace(offers, drawings=(*offers.drawings, *shown))
    form = made(offers=offers, entry=make_entry(question))
    data = sends(*all_forms(form, form.sets.values()), **changed)
    again = made(data, offers=offers, entry=make_entry(question))
    assert again.is_valid(), [again.errors, [rows.errors for rows in again.sets.values()]]
    (said,) = read_questions(write_entries(question.writeup, [again.entry()]))
    return said


def test_every_kind_has_its_form():
    assert set(WRITTEN) == set(KINDS) == set(OWN)


@settings(max_examples=15, deadline=None)
@pytest.mark.parametrize("kind", OWN)
@given(data=st.data())
def test_text_to_form_to_text_is_the_same(kind, data):
    own = data.draw(OWN[kind])
    question = question_of(
        kind, own, data.draw(LONG), data.draw(LONG), critical=data.draw(st.booleans())
    )
    assert replace(written(question), line=0) == replace(question, line=0)


@pytest.mark.parametrize("path", DEMO[::4], ids=lambda path: path.stem)
def test_each_question_of_the_demo_is_the_same_after_its_form(path):
    for question in read_questions(path.read_text(encoding="utf-8")):
        assert replace(written(question), line=0) == replace(question, line=0)


def test_a_ticked_cell_is_a_region_and_a_picked_drawing_stands_in_the_text():
    question = question_of("point at it", OWN_POINT, "Where?", "", critical=False)
    offers = replace(OFFERS, box=Box(0, 0, 80, 80))
    said = written(question, offers, cells=["B1"], picture="ring", shows="a ring")
    assert said.stem == "Where?\n\n![a ring](drawing:ring)"
    (old, ticked) = said.asked.regions
    assert old == question.asked.regions[0]
    # By hand: eight columns over 80 units, so that B reaches from 10 to 20.
    assert (ticked.x, ticked.y, ticked.width, ticked.height) == (10, 0, 10, 10)


def test_where_a_drawing_is_chosen_all_of_them_can_be_seen_beside_the_form():
    form = WRITTEN["point at it"](offers=OFFERS, entry={"kind": "point at it"})
    for name in ("picture", "drawing"):
        assert 'href="/write-ups/drawings/" target="_blank"' in str(form[name].help_text)


OWN_POINT = {"drawing": "ring", "regions": [{"x": 1, "y": 1, "radius": 3}]}


# --- the pages


@pytest.fixture
def writeup(quiz):
    return quiz.writeups.get()


@pytest.fixture
def author(client, senior, writeup):
    client.force_login(senior)
    return client


def sent(response, **changed):
    form = response.context["form"]
    return dict(sends(*all_forms(form, form.sets.values()), **changed).lists())


@pytest.mark.django_db
def test_a_question_is_previewed_saved_as_a_new_version_and_not_over_anothers(author, writeup):
    there = reverse("quizzes:form", args=[writeup.name, "one"])
    opened = author.get(there)
    assert opened.context["preview"] is not None
    seen = author.post(there, sent(opened, stem="How is it **done**?", preview="yes"))
    assert seen.context["preview"].heading == "How is it <strong>done</strong>?"
    assert QuestionVersion.objects.filter(question__name="one").count() == 1
    author.post(there, sent(opened, stem="How is it done?"))
    newest = QuestionVersion.objects.newest().get(question__name="one")
    assert (newest.number, newest.stem) == (2, "How is it done?")
    late = author.post(there, sent(opened, stem="Typed on the old one."))
    assert "Somebody wrote a new version" in late.text
    assert late.context["form"]["stem"].value() == "Typed on the old one."


@pytest.mark.django_db
def test_rows_are_added_and_faults_are_told_with_all_that_was_typed(author, writeup):
    there = reverse("quizzes:new", args=[writeup.name])
    assert "choose one" in author.get(there).text
    there += "?kind=choose+one"
    step = writeup.revisions.get().text.split("{#")[1].split("}")[0]
    fields = sent(author.get(there), stem="Which?", steps=[step], **{"options-0-text": "This"})
    more = author.post(there, fields | {"add": "options"})
    assert [row["text"].value() for row in more.context["form"].sets["options"]] == [
        "This",
        None,
        None,
        None,
    ]
    wrong = author.post(there, sent(more, **{"options-1-text": "That"}))
    assert wrong.context["faults"]
    assert "line" not in wrong.context["faults"][0]
    assert wrong.context["form"]["stem"].value() == "Which?"
    done = author.post(there, sent(wrong, **{"options-1-right": "on"}))
    assert done.status_code == 302
    assert QuestionVersion.objects.newest().filter(stem="Which?").exists()


@pytest.mark.django_db
def test_the_same_question_is_written_as_text(author, writeup):
    there = reverse("quizzes:form", args=[writeup.name, "torque"])
    opened = author.get(there)
    form = opened.context["text_form"]
    text, version = form["text"].value(), form["version"].value()
    bad = author.post(there, {"text": text.replace("amount:", "amunt:"), "version": version})
    assert "amunt" in bad.context["text_form"]["text"].value()
    assert bad.context["faults"]
    author.post(there, {"text": text.replace("Stem of", "Text of"), "version": version})
    question = QuestionVersion.objects.newest().get(question__name="torque").question
    (said, number) = newest_text(question)
    assert isinstance(said, QuestionText)
    assert (said.stem, number) == ("Text of torque?", 2)
    assert write_questions(said.writeup, [said]).count("name:") == 1


@pytest.mark.django_db
def test_several_drafts_are_accepted_at_once_and_all_or_none(author, writeup):
    page = author.get(reverse("quizzes:drafts", args=[writeup.name]))
    names = [draft.name for draft in page.context["drafts"]][:2]
    decide = reverse("quizzes:decide-draft", args=[writeup.name])
    author.post(decide, {"do": "several", "ticked": [*names, "gone"]})
    assert not QuestionVersion.objects.filter(question__name__in=names).exists()
    assert "Tick the drafts" in author.post(decide, {"do": "several"}, follow=True).text
    author.post(decide, {"do": "several", "ticked": names})
    taken = QuestionVersion.objects.filter(question__name__in=names)
    assert taken.count() == 2
    # Another person still has to accept each.
    assert not QuestionVersion.objects.in_use().filter(question__name__in=names).exists()


@pytest.mark.django_db
@pytest.mark.parametrize("kind", OWN)
def test_a_page_that_was_not_sent_as_it_was_made_is_answered(author, writeup, kind):
    there = reverse("quizzes:new", args=[writeup.name]) + f"?kind={kind.replace(' ', '+')}"
    junk = {"steps": "gone", "drawing": "../x", "cells": "Z9", "options-TOTAL_FORMS": "x"}
    more = ({}, junk, {"add": "pairs"}, junk | {"remove": "options-7"}, {"text": "- x"})
    for sent_ in more:
        assert author.post(there, sent_).status_code == 200
    assert not QuestionVersion.objects.filter(author__isnull=False).exists()
