"""Is the text of a write-up read as it is meant, and is what can't be read named with its line?"""

from decimal import Decimal

import pytest

from procedures.writeup.parse import parse
from tests.for_each import for_each
from tests.procedures.told import text

EXAMPLE = """---
title: Air-spring service
level: air-spring
interval: 200 h
variants:
  ring: [eyelet, prong]
  bumper: [fitted, none]
never: [ring = prong; bumper = none]
given: [fork in the stand, lower legs off]
leaves: fork in the stand
off: [lower legs]
leaves off: [lower legs]
follows: lower-leg-removal
---
What this is for.

## Make it safe

Read this first.

### Let the air out {#let-air-out}
critical: a cap under pressure can blind; so be careful
only if: ring = eyelet | prong; bumper = fitted
needs: fork in the stand
needs: lower legs off; bench clean
makes: air let out
uses: suspension oil 1 mL; rag
torque: top cap 28 ± 2 N·m
measure: sag 20..30 %
check: shaft free of scratches | replace the assembly; seal whole
hold: yes
tool: shock pump

!!! warning "Air under pressure"
    hazard: Air can stay in the fork
      after the hiss has stopped.
    harm: A cap can blind.
    avoid: Press the core once more.

    Free words.

Press the valve core. Give it [[2 times]].

```
### not a step
needs: nothing
```

### Take the cap off
"""


def codes(writeup):
    return [(fault.code, fault.step, fault.about, fault.line) for fault in writeup.faults]


def test_the_example_is_read_whole():
    read = parse(EXAMPLE)
    assert read.faults == ()
    assert (read.title, read.level, read.interval, read.follows) == (
        "Air-spring service",
        "air-spring",
        "200 h",
        "lower-leg-removal",
    )
    assert [(variant.name, variant.options) for variant in read.variants] == [
        ("ring", ("eyelet", "prong")),
        ("bumper", ("fitted", "none")),
    ]
    assert (read.given, read.leaves) == (
        ("fork in the stand", "lower legs off"),
        ("fork in the stand",),
    )
    assert (read.off, read.leaves_off, read.intro) == (
        ("lower legs",),
        ("lower legs",),
        "What this is for.",
    )
    assert [(phase.title, phase.body) for phase in read.phases] == [
        ("Make it safe", "Read this first.")
    ]
    assert [(step.id, step.title, step.number, step.phase) for step in read.steps] == [
        ("let-air-out", "Let the air out", 1, "Make it safe"),
        ("take-the-cap-off", "Take the cap off", 2, "Make it safe"),
    ]


def test_the_fields_of_the_example_are_read():
    step = parse(EXAMPLE).steps[0]
    assert step.critical == "a cap under pressure can blind; so be careful"
    assert [(each.variant, each.options) for each in step.only_if] == [
        ("ring", ("eyelet", "prong")),
        ("bumper", ("fitted",)),
    ]
    assert step.needs == ("fork in the stand", "lower legs off", "bench clean")
    assert step.lines_of("needs") == (24, 25, 25)
    assert [(each.name, each.amount and each.amount.value) for each in step.uses] == [
        ("suspension oil", 1),
        ("rag", None),
    ]
    assert [(each.name, each.amount.low, each.amount.high) for each in step.torques] == [
        ("top cap", Decimal(26), Decimal(30))
    ]
    assert [(each.name, each.amount.unit) for each in step.measures] == [("sag", "%")]
    assert [(each.look, each.otherwise) for each in step.checks] == [
        ("shaft free of scratches", "replace the assembly"),
        ("seal whole", ""),
    ]
    assert (step.hold, step.tools, step.makes) == (True, ("shock pump",), ("air let out",))
    assert [amount.text for amount in step.amounts] == ["2 times"]


def test_the_caution_of_the_example_is_read_and_not_left_in_the_body():
    step = parse(EXAMPLE).steps[0]
    (caution,) = step.cautions
    assert (caution.word, caution.title, caution.line) == ("warning", "Air under pressure", 34)
    assert caution.hazard == "Air can stay in the fork after the hiss has stopped."
    assert (caution.harm, caution.avoid, caution.text) == (
        "A cap can blind.",
        "Press the core once more.",
        "Free words.",
    )
    assert step.body.startswith("Press the valve core.")
    assert "### not a step" in step.body


def test_header_words_stay_words():
    read = parse("---\ntitle: 32\nvariants: {lockout: [on, off, yes, no, 32, 1.50]}\n---\n")
    assert read.title == "32"
    assert read.variants[0].options == ("on", "off", "yes", "no", "32", "1.50")


@for_each(
    [
        ("colour: red\n", "colour", 3),
        ("level: a\nlevel: b\n", "level", 4),
        ("given: {a: b}\n", "given", 3),
        ("given: [[a]]\n", "given", 3),
        ("given:\n", "given", 3),
        ("level: [a]\n", "level", 3),
        ("variants: [ring]\n", "variants", 3),
        ("variants:\n  ring: []\n", "ring", 4),
        ("variants:\n  ring: [a, b]\n  Ring: [c]\n", "Ring", 5),
        ("variants:\n  ring: [a, A]\n", "ring", 4),
        ("never: [ring]\n", "ring", 3),
        ("asks: everything\n", "asks", 3),
        ("released: soon\n", "released", 3),
        ("given: [a\n", "---", 3),
        ("given: &x [a]\n", "---", 3),
        ("given: !!set [a]\n", "---", 3),
    ]
)
def test_a_header_that_cannot_be_read_is_a_fault(header, about, line):
    assert codes(parse(text("", header))) == [("bad-header", None, about, line)]


def test_of_a_key_that_stands_twice_the_first_counts():
    assert parse(text("", "level: a\nlevel: b\n")).level == "a"


@pytest.mark.parametrize(
    ("written", "about"),
    [
        ("", "title"),
        ("## Phase\n", "title"),
        ("---\nlevel: a\n---\n", "title"),
        ("---\ntitle:\n---\n", "title"),
        ("---\ntitle: T\n", "---"),
    ],
)
def test_a_header_without_title_or_end_is_a_fault(written, about):
    assert [(fault.code, fault.about, fault.line) for fault in parse(written).faults] in (
        [("bad-header", about, 1)],
        [("bad-header", about, 2)],
    )


def test_a_header_alone_is_enough():
    assert codes(parse("---\ntitle: T\n---")) == []


@for_each(
    [
        ("grease: yes\n", "grease", 5),
        ("Needs: a\n", "Needs", 5),
        ("needs:\n", "needs", 5),
        ("needs: a;; b\n", "needs", 5),
        ("Press the core\n", "Press the core", 5),
        ("hold: perhaps\n", "perhaps", 5),
        ("only if: ring\n", "ring", 5),
        ("only if: ring = | prong\n", "ring = | prong", 5),
        ("check: | replace it\n", "check", 5),
        # As in the header: the tool would be another one than that of a demand that looks the same.
        ("tool: ring pliers\u200b\n", "ring pliers\u200b", 5),
        ("only if: ring = pr\u00adong\n", "ring = pr\u00adong", 5),
        ("\nneeds: a\n", "needs", 6),
        ("\nPress it.\n\ntool: pump\n", "tool", 8),
    ]
)
def test_a_field_that_cannot_be_read_is_a_fault(fields, about, line):
    assert codes(parse(text(f"### Step\n{fields}"))) == [("bad-field", "step", about, line)]


def test_a_field_under_a_phase_has_no_effect_and_is_told():
    """“only if” there looks as if it were about every step of the phase."""
    read = parse(text("## Eyelet ring\nonly if: ring = eyelet\n\nNote: read on.\n\n### A\n"))
    assert codes(read) == [("bad-field", None, "only if", 5)]


@for_each([("~~~", "a"), ("```text", "a"), ("````\n```", "a")])
def test_a_code_fence_without_an_end_is_told_since_it_hides_every_step_below(fence, step):
    read = parse(text(f"### A\n\n{fence}\n### B\nneeds: x\n"))
    assert codes(read) == [("bad-field", step, fence.split("\n")[0], 6)]
    assert codes(parse(text(f"{fence}\n### B\n"))) == [("bad-field", None, fence.split("\n")[0], 4)]


@pytest.mark.parametrize(
    "below",
    [
        "\nPress it.\nneeds: said in a sentence that goes on\n",
        "\n```\nneeds: a\n```\n",
        "\nNote: needs care\n",
        "\n> needs: a\n",
        "\n    needs: a\n",
    ],
)
def test_text_that_only_looks_like_a_field_is_text(below):
    assert codes(parse(text(f"### Step\n{below}"))) == []


@pytest.mark.parametrize(
    ("field", "about"),
    [
        ("torque: 28", "28"),
        ("torque: cap 28 bar", "cap 28 bar"),
        ("torque: cap", "cap"),
        ("measure: sag 30..20 %", "sag 30..20 %"),
        ("uses: oil 3 foo", "oil 3 foo"),
        ("uses: 3 mL", "3 mL"),
        ("\nGive it [[5 drops]].", "5 drops"),
        ("\nGive it [[5\ndrops]], but `[[6` no\nmore]].", "5 drops"),
    ],
)
def test_an_amount_that_cannot_be_read_is_a_fault(field, about):
    assert [each[:3] for each in codes(parse(text(f"### Step\n{field}\n")))] == [
        ("bad-amount", "step", about)
    ]


def test_amounts_in_code_are_left_alone():
    assert codes(parse(text("### Step\n\nWrite `[[5 drops]]`.\n\n```\n[[5 drops]]\n```\n"))) == []


@for_each(["###Cap on", " ### Cap on", "   ###\tCap on", "###Cap on {#cap-on}"])
def test_a_heading_typed_a_little_otherwise_is_a_step_too(heading):
    """CommonMark 4.2 lets up to three spaces stand before a heading; a page shows one without a
    space behind its marks as a heading, so nobody would see that it was none."""
    read = parse(text(f"## Phase\n\n{heading}\nneeds: x\n"))
    assert [(step.id, step.title, step.needs) for step in read.steps] == [
        ("cap-on", "Cap on", ("x",))
    ]


@for_each(["    ### Cap on", "#### Cap on", "\\### Cap on"])
def test_what_markdown_takes_for_code_text_or_a_smaller_heading_is_no_step(line):
    assert parse(text(f"## Phase\n\n{line}\n")).steps == ()


def test_an_id_comes_from_the_title_and_stays_apart_from_written_ones():
    read = parse(
        text("### Let air out!\n### Let (air) out\n### Other {#let-air-out-2}\n### Öl\n### \n")
    )
    assert [step.id for step in read.steps] == [
        "let-air-out",
        "let-air-out-3",
        "let-air-out-2",
        "l",
        "step",
    ]
    assert read.faults == ()


def test_an_id_that_stands_twice_is_a_fault_at_the_second_step():
    read = parse(text("### One {#same}\n### Two {#same}\n"))
    assert [(fault.code, fault.about, fault.line) for fault in read.faults] == [
        ("duplicate-id", "same", 5)
    ]
    assert [step.id for step in read.steps] == ["same", "two"]


def test_a_step_may_stand_before_any_phase():
    (step,) = parse(text("### Step\nneeds: a\n")).steps
    assert (step.phase, step.needs) == ("", ("a",))


@pytest.mark.parametrize("end", ["\r\n", "\r", "\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_a_byte_order_mark_change_nothing(end, mark):
    assert parse(mark + EXAMPLE.replace("\n", end)) == parse(EXAMPLE)


def test_tabs_are_white_space():
    (step,) = parse(
        text('###\tStep\t{#it}\nneeds:\ta \t b\t;\tc\n\n!!! warning "T"\n\thazard: h\n')
    ).steps
    assert (step.id, step.needs, step.cautions[0].hazard) == ("it", ("a \t b", "c"), "h")


@pytest.mark.parametrize(
    ("below", "late"),
    [
        ('\n!!! warning "W"\n    x\n\nPress it.\n', False),
        ('\nPress it.\n\n!!! warning "W"\n    x\n', True),
        ('\n1. Press it.\n\n!!! danger "W"\n    x\n', True),
        ('\nPress it.\n\n!!! caution "W"\n    x\n', False),
        ('\n!!! notice "N"\n    x\n\n!!! warning "W"\n    x\n', False),
        ('\n![the core](drawing:core)\n\n!!! warning "W"\n    x\n', False),
        ('\n```\ncode\n```\n\n!!! warning "W"\n    x\n', True),
        ('\nPress it.\n\n```\n!!! warning "W"\n```\n', False),
    ],
)
def test_a_warning_after_the_first_running_text_is_a_fault(below, late):
    expected = [("caution-after-action", "W")] if late else []
    assert [
        (fault.code, fault.about) for fault in parse(text(f"### Step\n{below}")).faults
    ] == expected


def test_a_yaml_bomb_stays_small():
    bomb = "a: &a [x,x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [*{chr(97 + n)},*{chr(97 + n)}]\n" for n in range(20)
    )
    assert [fault.about for fault in parse(f"---\ntitle: T\n{bomb}---\n").faults] == ["---"]


@pytest.mark.parametrize(
    "header", ["given: " + "[" * 15_000, "given: " + "a, " * 10_000, "x" * 50_000, "? " * 9_000]
)
def test_a_hostile_header_is_one_fault(header):
    assert [fault.code for fault in parse(f"---\ntitle: T\n{header}\n---\n### Step\n").faults] == [
        "bad-header"
    ]


def test_a_text_of_a_megabyte_is_read_and_a_longer_one_refused():
    long = text("### A\nneeds: b\n\nx\n" * 52_000)
    assert 900_000 < len(long) < 1_000_000
    assert len(parse(long).steps) == 52_000
    refused = parse(long + " " * 200_000)
    assert (refused.steps, [fault.code for fault in refused.faults]) == ((), ["bad-header"])
