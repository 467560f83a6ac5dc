"""Is an order of steps accepted exactly when the write-up, with its steps in that order, rehearses
without a new error?

The check takes another way than the marking: it writes the steps into the text in the order of the
answer, reads that text and rehearses it.
"""

import re
from itertools import permutations

import pytest

from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules
from quizzes.kinds.put_in_order import PutInOrder
from quizzes.kinds.rehearsed import Rehearsed, misfits
from quizzes.marking.marks import marks
from quizzes.records.wording.say import say

RULES = read_rules("safe: {air chamber: air let out}\ntemporary: [shaft guarded]\n")

PLAIN = """\
---
title: Plain
---
## Work

### Air out {#air-out}
makes: air let out

Let it out.

### Guard on {#guard-on}
makes: shaft guarded

Guard it.

### Open {#open}
opens: air chamber

!!! danger "Air"
    hazard: A cap.
    harm: It blinds.
    avoid: Let it out.

Open it.

### Old seal off {#old-off}
scraps: seal

Throw it away.

### Wash {#wash}
after: open

Wash it.

### New seal on {#new-on}
fits new: seal
needs: shaft guarded

Put it on.

### Guard off {#guard-off}
ends: shaft guarded

Take it off.
"""
# The same, but with a fault of its own (a fact that nothing makes), and a step that only one fork
# has.
FORKED = (
    PLAIN.replace("title: Plain", "title: Forked\nvariants:\n  ring: [eyelet, prong]")
    .replace("needs: shaft guarded", "needs: shaft guarded; lamp on\nonly if: ring = prong")
    .replace("scraps: seal", "scraps: seal\nonly if: ring = prong")
)


def blocks(text):
    """The head of a text, and each step's piece of it by id."""
    head, *pieces = re.split(r"(?m)^(?=### )", text)
    return head, {
        re.search(r"\{#(.+?)\}", piece)[1]: piece.rstrip("\n") + "\n\n" for piece in pieces
    }


def reordered(text, order):
    """The text with these steps, in this order, in the places that they hold in it."""
    head, pieces = blocks(text)
    answer = iter(order)
    return head + "".join(pieces[next(answer) if step in order else step] for step in pieces)


def errors(text, fork):
    """What is wrong for this fork."""
    found = rehearse(parse(text), RULES)
    return {
        (one.code, one.step, one.about)
        for one in found
        if one.level == "error"
        and all(fork.get(name) == option for name, option in one.variant.items())
    }


@pytest.mark.parametrize(
    ("text", "fork", "shown"),
    [
        (PLAIN, {}, ("air-out", "guard-on", "open", "old-off", "wash")),
        (PLAIN, {}, ("guard-on", "open", "old-off", "new-on", "guard-off")),
        (PLAIN, {}, ("air-out", "wash")),
        (FORKED, {"ring": "prong"}, ("air-out", "open", "old-off", "new-on", "guard-off")),
        (FORKED, {"ring": "eyelet"}, ("air-out", "guard-on", "open", "wash", "guard-off")),
    ],
)
def test_an_order_is_right_exactly_when_its_text_rehearses_without_a_new_error(text, fork, shown):
    asked = PutInOrder(shown, tuple(fork.items()))
    judge, own, right = Rehearsed(parse(text), RULES, asked), errors(text, fork), 0
    for order in permutations(shown):
        clean = errors(reordered(text, order), fork) <= own
        worth = marks(asked, list(order), judge)
        assert worth.right is clean, order
        assert (worth.share == 1) is clean
        assert bool(judge.says(order)) is not clean
        right += clean
    assert judge.count() == (right, len(list(permutations(shown))))
    assert 0 < right < len(list(permutations(shown)))


def test_demanded_pairs_are_those_of_every_right_order():
    shown = ("air-out", "guard-on", "open", "old-off", "wash")
    judge = Rehearsed(parse(PLAIN), RULES, PutInOrder(shown))
    # Reasoned by hand: the chamber opens after the air is out, washing comes after opening; the
    # rest is free.
    assert set(judge.demanded()) == {("air-out", "open"), ("air-out", "wash"), ("open", "wash")}


def test_a_free_pair_costs_nothing_and_a_broken_one_does():
    shown = ("air-out", "guard-on", "open", "wash")
    asked = PutInOrder(shown)
    judge = Rehearsed(parse(PLAIN), RULES, asked)
    assert marks(asked, ["guard-on", "air-out", "open", "wash"], judge).share == 1
    # One of three demanded pairs is broken, two are kept: (2 − 1) / 3.
    assert float(
        marks(asked, ["air-out", "guard-on", "wash", "open"], judge).share
    ) == pytest.approx(1 / 3)


def test_what_goes_wrong_is_said_with_the_titles_of_the_steps():
    judge = Rehearsed(parse(PLAIN), RULES, PutInOrder(("air-out", "open", "wash")))
    told = map(say, judge.says(("open", "air-out", "wash")))
    assert tuple(told) == ("“Open”: this opens the air chamber while it is not safe.",)
    told = map(say, judge.says(("air-out", "wash", "open")))
    assert tuple(told) == ("“Wash” comes only after “Open”.",)


@pytest.mark.parametrize(
    ("steps", "variant", "word"),
    [
        (("air-out", "polish"), {"ring": "prong"}, "no step “polish”"),
        (("air-out", "new-on"), {"ring": "eyelet"}, "“new-on” is not done with ring = eyelet"),
        (("air-out", "open"), {}, "names no fork"),
        (("air-out", "open"), {"ring": "wire"}, "ring = wire"),
        (("air-out", "open"), {"ring": "prong", "colour": "red"}, "colour = red"),
    ],
)
def test_a_question_that_does_not_fit_the_write_up_says_why(steps, variant, word):
    asked = PutInOrder(steps, tuple(variant.items()))
    assert word in " ".join(map(say, misfits(asked, steps, parse(FORKED))))


def test_a_fork_that_does_not_exist_is_not_asked_about():
    text = FORKED.replace("title: Forked", "title: Forked\nnever: [ring = prong]")
    asked = PutInOrder(("air-out", "open"), (("ring", "prong"),))
    assert misfits(asked, asked.steps, parse(text))
    assert not misfits(asked, asked.steps, parse(FORKED))
