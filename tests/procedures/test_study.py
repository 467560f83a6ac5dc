"""Does a write-up show what one fork needs, and nothing of the others?"""

import pytest

from procedures.records.study import study_for
from procedures.writeup.parse import parse

TEXT = """\
---
title: Air spring
variants:
  ring: [eyelet, prong]
  bumper: [fitted, none]
never: [ring = prong; bumper = none]
---
What this is **for**.

## Take apart

### Squeeze the ring {#squeeze-ring}
only if: ring = eyelet
critical: a ring can fly
needs: air let out
makes: ring out
ends: ring seated
opens: air chamber
tool: ring pliers
uses: suspension oil 1 mL
torque: cap 28 ± 2 N·m
measure: sag 20..30 %
check: shaft free of scratches | replace the shaft
takes off: ring
fits: cap
scraps: seal
fits new: seal
hold: yes

!!! warning "Flying ring"
    hazard: The ring is under tension.
    harm: It can blind.
    avoid: Cover it with your hand.

Squeeze the ring to [[5 mm]]. <script>alert(1)</script>

### Walk the ring {#walk-ring}
only if: ring = prong

Walk the ring out.

## Put together

### Close it {#close}

Close it.
"""


def study(show_all=False, text=TEXT, **chosen):
    return study_for(parse(text), chosen, show_all=show_all, title="", number=2, released_on=None)


def keys(shown):
    return [(step.key, step.struck) for phase in shown.phases for step in phase.steps]


@pytest.mark.parametrize(
    "chosen",
    [{}, {"ring": "prong"}, {"ring": "prong", "bumper": "two"}, {"ring": "hook", "bumper": "none"}],
)
def test_it_asks_first_and_guesses_nothing(chosen):
    shown = study(**chosen)
    assert shown.is_asking
    assert shown.phases == ()
    assert [variant.name for variant in shown.variants] == ["ring", "bumper"]


def test_what_was_chosen_so_far_stays_chosen():
    options = study(ring="prong").variants[0].options
    assert [(option.name, option.is_chosen) for option in options] == [
        ("eyelet", False),
        ("prong", True),
    ]


def test_a_fork_that_does_not_exist_is_told_so():
    shown = study(ring="prong", bumper="none")
    assert shown.is_asking
    assert "No fork or shock has these options together" in shown.problem


def test_steps_for_other_forks_are_gone():
    assert keys(study(ring="prong", bumper="fitted")) == [("walk-ring", False), ("close", False)]


def test_or_struck_through_when_asked_for():
    shown = keys(study(show_all=True, ring="prong", bumper="fitted"))
    assert shown == [("squeeze-ring", True), ("walk-ring", False), ("close", False)]


def test_the_steps_for_this_fork_are_numbered_without_a_gap():
    shown = study(ring="prong", bumper="fitted")
    assert [step.number for phase in shown.phases for step in phase.steps] == ["1", "2"]


def test_phases_come_in_order_and_an_empty_one_not_at_all():
    text = TEXT.replace("## Put together", "## Nothing here\n\n## Put together")
    assert [phase.title for phase in study(text=text, ring="prong", bumper="fitted").phases] == [
        "Take apart",
        "Put together",
    ]


def test_fields_stand_in_the_order_of_the_work():
    step = study(ring="eyelet", bumper="fitted").phases[0].steps[0]
    assert step.fields == (
        ("only for", "ring eyelet"),
        ("needs", "air let out"),
        ("now true", "ring out"),
        ("no longer true", "ring seated"),
        ("opens", "air chamber"),
        ("tool", "ring pliers"),
        ("uses", "suspension oil 1 mL"),
        ("torque", "cap 28 ± 2 N·m"),
        ("measure", "sag 20 to 30 %"),
        ("check", "shaft free of scratches"),
        ("if not", "replace the shaft"),
        ("off", "ring"),
        ("on", "cap"),
        ("scrap", "seal"),
        ("new", "seal"),
    )
    assert (step.id, step.critical, step.hold) == ("step-squeeze-ring", "a ring can fly", True)
    assert (step.cautions[0].word, step.cautions[0].avoid) == (
        "warning",
        "Cover it with your hand.",
    )


def test_text_of_a_step_brings_no_script():
    html = study(ring="eyelet", bumper="fitted").phases[0].steps[0].html
    assert "<script" not in html
    assert "5 mm" in html


def test_a_write_up_without_variants_shows_at_once():
    shown = study(text="---\ntitle: Wash\n---\n### Wash it {#wash}\n\nWash it.\n")
    assert not shown.is_asking
    assert keys(shown) == [("wash", False)]
    assert shown.phases[0].title == ""


def test_what_the_page_asks_for_is_taken_from_the_header_only():
    assert study(ring="prong", bumper="fitted", _all="yes", other="x").chosen == (
        ("ring", "prong"),
        ("bumper", "fitted"),
    )


def test_an_amount_in_a_safety_message_is_read_as_an_amount():
    said = TEXT.replace("hazard: ", "hazard: At [[20 .. 30 psi]] and [[no amount]]. ")
    shown = study(text=said, ring="eyelet", bumper="fitted")
    hazards = [
        one.hazard for phase in shown.phases for step in phase.steps for one in step.cautions
    ]
    assert hazards
    assert all(text.startswith("At 20 to 30 psi and [[no amount]]. ") for text in hazards)


def test_the_first_grave_message_of_this_fork_is_found_with_its_step():
    # ANSI Z535.6 (from memory): what can injure may be told before the steps, too.
    number, caution = study(ring="eyelet", bumper="none").first_warning
    assert (number, caution.title) == ("1", "Flying ring")
    assert study(ring="prong", bumper="fitted").first_warning is None  # of a step that is not done
    mild = TEXT.replace("!!! warning", "!!! caution")
    assert study(text=mild, ring="eyelet", bumper="none").first_warning is None
