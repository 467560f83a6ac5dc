"""Are drafts of questions right as they stand, each on its step, and asked only when two people
have said so?
"""

from functools import cache
from itertools import islice, permutations
from pathlib import Path

import pytest

from procedures.records.refused import Refused
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules
from quizzes.actions.drafts import accept_draft, drop_draft
from quizzes.kinds.choose_all import ALL, ChooseAll
from quizzes.kinds.choose_one import ONE, ChooseOne
from quizzes.kinds.give_amount import AMOUNT, GiveAmount
from quizzes.kinds.match import MATCH, Match
from quizzes.kinds.put_in_order import ORDER, PutInOrder
from quizzes.kinds.rehearsed import Rehearsed
from quizzes.marking.drafts import drafts
from quizzes.marking.marks import marks
from quizzes.marking.texts import read_questions
from quizzes.marking.writing import write_questions
from quizzes.models import Question
from quizzes.records.offered import offered_drafts
from tests.procedures.factories import NOW

FIXTURES = Path(__file__).parents[2] / "fixtures"
RULES = read_rules((FIXTURES / "rules.yaml").read_text(encoding="utf-8"))
NAMES = sorted(path.stem for path in (FIXTURES / "writeups").glob("*.md") if "." not in path.stem)
WRITEUPS = {
    name: parse((FIXTURES / "writeups" / f"{name}.md").read_text(encoding="utf-8"))
    for name in NAMES
}


@cache
def drafts_of(name):
    """Not while the tests are gathered, which each of two processes does."""
    return drafts(name, WRITEUPS[name], RULES)


@pytest.mark.parametrize("name", NAMES)
def test_every_way_of_drafting_is_used_and_every_name_is_its_own(name):
    steps = [step for step in WRITEUPS[name].steps if step.cautions]
    titles = [caution.title for step in steps for caution in step.cautions]
    # a caution can be matched with its step where no other step has one of the same title
    alone = sum(titles.count(step.cautions[0].title) == 1 for step in steps)
    wanted = {MATCH} if alone > 1 else set()
    assert {draft.asked.kind for draft in drafts_of(name)} == {ONE, ALL, ORDER, AMOUNT} | wanted
    names = [draft.name for draft in drafts_of(name)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("name", NAMES)
def test_every_draft_can_be_written_out_and_read_again(name):
    text = write_questions(name, drafts_of(name))
    assert [(one.name, one.stem, one.asked, one.steps) for one in read_questions(text)] == [
        (one.name, one.stem, one.asked, one.steps) for one in drafts_of(name)
    ]


@pytest.mark.parametrize("name", NAMES)
def test_an_order_has_more_than_one_wrong_order_and_its_own_is_right(name):
    """Every order of the steps is rehearsed by itself."""
    for draft in drafts_of(name):
        if isinstance(draft.asked, PutInOrder):
            judge = Rehearsed(WRITEUPS[name], RULES, draft.asked)
            wrong = (
                order for order in permutations(draft.asked.steps) if not judge.is_right(order)
            )
            assert len(list(islice(wrong, 2))) == 2
            assert marks(draft.asked, list(draft.asked.steps), judge).right


@pytest.mark.parametrize("name", NAMES)
def test_the_right_option_stands_in_the_step_and_no_wrong_one_does(name):
    """Held against the fields of the step, as the language reads them."""
    steps = {step.id: step for step in WRITEUPS[name].steps}
    for draft in drafts_of(name):
        step = steps[draft.steps[0]]
        if isinstance(draft.asked, ChooseOne | ChooseAll):
            right = [option.text for option in draft.asked.options if option.right]
            wrong = [option.text for option in draft.asked.options if not option.right]
            assert right
            assert 0 < len(wrong) <= 3
            of_step = {"needs": step.needs, "why": (step.critical,)}.get(
                draft.name.rpartition("-")[2]
            )
            if of_step is None:
                of_step = [part for one in draft.steps for part in steps[one].scraps]
            assert set(right) <= set(of_step)
            assert not set(wrong) & set(of_step)
        elif isinstance(draft.asked, GiveAmount):
            assert draft.asked.amount in {
                target.amount.text for target in (*step.torques, *step.measures)
            }
        elif isinstance(draft.asked, Match):
            titles = {steps[one].title for one in draft.steps}
            assert {pair.right for pair in draft.asked.pairs} == titles
            assert not set(draft.asked.spare) & titles


def test_a_small_text_by_hand():
    writeup = parse(
        "---\ntitle: Bleed\n---\n## One\n\n### Open the valve {#open}\ncritical: air under "
        "pressure can blind\nmakes: valve open\n\nOpen it.\n\n"
        "### Turn the cap {#turn}\nneeds: valve open\nmakes: cap off\ntorque: 7 ± 1 "
        "N·m\n\nTurn it.\n\n### Look {#look}\nmakes: looked at\n\nLook.\n"
    )
    found = {draft.name: draft for draft in drafts("bleed", writeup, RULES)}
    assert set(found) == {"turn-needs", "turn-torque"}
    assert [(option.text, option.right) for option in found["turn-needs"].asked.options] == [
        ("valve open", True),
        ("cap off", False),
        ("looked at", False),
    ]
    assert found["turn-torque"].asked.amount == "7 ± 1 N·m"


def drafts_by_hand(body, header="", rules=""):
    writeup = parse(f"---\ntitle: T\n{header}---\n## One\n{body}")
    return {draft.name: draft.asked for draft in drafts("t", writeup, read_rules(rules))}


def test_no_wrong_option_of_what_must_be_true_is_true_or_demanded_there():
    """`lamp on` is given, `rag on` was made before, `shaft guarded` is demanded by the rules, and
    `off air` is another word for what the step needs: each is made again further down.
    """
    found = drafts_by_hand(
        "### A {#a}\nmakes: valve open; rag on\n"
        "### B {#b}\nneeds: valve open\ntool: pick\nmakes: seal out\n"
        "### C {#c}\nmakes: off air; lamp on; rag on; shaft guarded; parts dry; can on\n",
        "given: lamp on\n",
        "same: [[valve open, off air]]\n"
        "demands: [{when: {tool: pick}, needs: shaft guarded, because: b}]\n",
    )
    options = [(option.text, option.right) for option in found["b-needs"].options]
    assert options == [
        ("valve open", True),
        ("seal out", False),
        ("parts dry", False),
        ("can on", False),
    ]


def test_no_part_that_is_scrapped_anywhere_is_a_wrong_option():
    found = drafts_by_hand(
        "### A {#a}\nscraps: one; two; three; four\n### B {#b}\nfits: Four; cap; nut\n"
    )
    options = {option.text: option.right for option in found["a-scrap"].options}
    assert options == {"one": True, "two": True, "three": True, "cap": False, "nut": False}


def test_a_caution_that_stands_second_at_another_step_is_matched_with_neither():
    caution = '\n!!! caution "{}"\n    hazard: h\n'
    body = "".join(
        f"### {step} {{#{step.lower()}}}\n" + "".join(caution.format(one) for one in titles)
        for step, titles in {"A": "xy", "B": "y", "C": "zx", "D": ""}.items()
    )
    assert not any(name.endswith("-cautions") for name in drafts_by_hand(body))


def test_two_amounts_that_the_same_words_would_ask_for_are_not_asked():
    found = drafts_by_hand("### A {#a}\ntorque: 5 N·m; 7 N·m; cap 9 N·m\n")
    assert {name: asked.amount for name, asked in found.items()} == {"a-torque-3": "9 N·m"}


def test_drafts_about_a_step_with_a_long_id_have_names_of_their_own():
    long = "x" * 90
    found = drafts_by_hand(
        f"### A {{#{long}}}\ntorque: 5 N·m\nmeasure: sag 20 %\n### B {{#{long}y}}\ntorque: 7 N·m\n"
    )
    assert len(found) == 3
    assert all(len(name) <= 80 for name in found)


def test_an_order_is_drafted_for_a_fork_that_there_is():
    """The first option of each variant makes no fork, and the step names its variant twice."""
    body = "".join(
        f"### {one} {{#{one}}}\nmakes: {one}\nneeds: {need}\n"
        for need, one in zip("abcd", "bcde", strict=True)
    ).replace("needs: a", "only if: ring = x | y; ring = y | z")
    header = "variants: {ring: [x, y, z], can: [p, q]}\nnever: [ring = y; can = p]\n"
    found = drafts_by_hand(body, header)
    assert found["b-order"].variant == (("can", "q"), ("ring", "y"))


# --- accepting and dropping


@pytest.fixture
def writeup(quiz, book):
    return quiz.writeups.get()


def test_an_accepted_draft_waits_for_another_person(writeup, senior):
    draft = offered_drafts(writeup)[0]
    version = accept_draft(writeup=writeup, name=draft.name, by=senior, now=NOW)
    assert version.author == senior
    assert draft.name not in [one.name for one in offered_drafts(writeup)]
    assert not Question.objects.get(name=draft.name).versions.in_use().exists()
    with pytest.raises(Refused, match="This draft is gone"):
        accept_draft(writeup=writeup, name=draft.name, by=senior, now=NOW)


def test_a_dropped_draft_does_not_come_again(writeup, senior):
    draft = offered_drafts(writeup)[0]
    drop_draft(writeup=writeup, name=draft.name, by=senior, now=NOW)
    assert draft.name not in [one.name for one in offered_drafts(writeup)]
    with pytest.raises(Refused, match="This draft is gone"):
        drop_draft(writeup=writeup, name=draft.name, by=senior, now=NOW)


def test_the_page_offers_accept_edit_and_drop(writeup, senior, client):
    client.force_login(senior)
    draft, other, *_ = offered_drafts(writeup)
    page = client.get(f"/questions/{writeup.name}/drafts/").text
    assert draft.stem.split("“")[0].strip() in page
    text = client.get(f"/questions/{writeup.name}/edit/?draft={draft.name}").text
    assert f"name: {draft.name}" in text
    assert "name: torque" not in text
    client.post(f"/questions/{writeup.name}/drafts/decide/", {"name": draft.name, "do": "accept"})
    client.post(f"/questions/{writeup.name}/drafts/decide/", {"name": other.name, "do": "drop"})
    page = client.get(f"/questions/{writeup.name}/drafts/").text
    assert f'value="{draft.name}"' not in page
    assert f'value="{other.name}"' not in page
    gone = client.post(
        f"/questions/{writeup.name}/drafts/decide/", {"name": draft.name, "do": "drop"}, follow=True
    ).text
    assert "This draft is gone" in gone
