"""Which pieces of the language can be put into a text, and what does each look like?"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece: its short name, what its button says, what it is for, and its text. A `block`
    stands on lines of its own, with a blank line around it when `apart`."""

    name: str
    label: str
    help: str
    text: str
    block: bool = True
    apart: bool = True


def _caution(word: str, label: str, help_: str) -> Piece:
    text = (
        f'!!! {word} "What it is about"\n    hazard: What is dangerous here.\n    harm: What '
        "it can do to a person.\n"
        "    avoid: What to do so that it does not happen."
    )
    return Piece(word, label, help_, text)


PIECES = (
    Piece("phase", "Phase", "a part of the work, over its steps", "## Name of the phase"),
    Piece(
        "step",
        "Step",
        "with an id that stays when its title changes",
        "### What is done {#new-step}\n\nSay how it is done.",
    ),
    _caution("danger", "Danger", "will kill or seriously injure, if it is not avoided"),
    _caution("warning", "Warning", "can kill or seriously injure, if it is not avoided"),
    _caution(
        "caution", "Caution", "can hurt a person slightly or moderately, if it is not avoided"
    ),
    Piece(
        "notice",
        "Notice",
        "about things, not people",
        '!!! notice "What it is about"\n    hazard: What can be damaged here.\n    harm: What '
        "that leads to.\n    avoid: What to do so that it does not happen.",
    ),
    Piece(
        "amount",
        "Amount",
        "a number with its unit inside a sentence",
        "[[28 ± 2 N·m]]",
        block=False,
        apart=False,
    ),
    Piece(
        "drawing",
        "Drawing",
        "what it shows, and its name in the shop’s drawings",
        "![What it shows](drawing:NAME)",
    ),
)

# One line for each field of a step, in the order in which somebody asks for them; they stand
# directly under its heading.
FIELDS = tuple(
    Piece(f"field-{key.replace(' ', '-')}", key, help_, f"{key}: {value}", apart=False)
    for key, help_, value in (
        (
            "critical",
            "a mistake here can hurt someone or ruin the part",
            "a cap under pressure can blind",
        ),
        ("only if", "for these forks only", "ring = eyelet | prong"),
        ("needs", "what must hold before", "fork in the stand"),
        ("makes", "what holds from here on", "air let out"),
        ("ends", "what no longer holds", "shaft guarded"),
        ("opens", "a source of danger that is opened", "air chamber"),
        ("takes off", "a part that goes to the bench", "lower legs"),
        ("fits", "a part that goes back on", "lower legs"),
        ("scraps", "a part that is thrown away", "foot-nut washer"),
        ("fits new", "a new part that goes on", "foot-nut washer"),
        ("uses", "what is used up, with its amount", "suspension oil 10 mL"),
        ("tool", "a tool the step needs", "shock pump"),
        ("torque", "a torque to reach", "28 ± 2 N·m"),
        ("measure", "a value to reach and write down", "sag 20..30 %"),
        (
            "check",
            "what is looked at | what happens if it fails",
            "shaft free of scratches | replace the air-spring assembly",
        ),
        ("after", "the ids of steps that come before", "let-air-out"),
        ("hold", "the work stops until the watching mechanic has looked", "yes"),
    )
)

# One entry for each key of the head, in the order in which it is written.
HEADS = tuple(
    Piece(f"head-{key.replace(' ', '-')}", key, help_, f"{key}: {value}", apart=False)
    for key, help_, value in (
        ("title", "what stands over the write-up", "Air-spring service, single-crown fork"),
        ("level", "the short name of the service level it belongs to", "air-spring"),
        ("interval", "how often it is due", "200 h"),
        (
            "variants",
            "what differs between forks: each question with its answers",
            "\n  ring: [eyelet, prong, spiral]\n  bumper: [fitted, none]",
        ),
        ("never", "answers that no fork has together", "[ring = prong; bumper = none]"),
        ("given", "what is true before the first step", "[fork in the stand, shaft guarded]"),
        ("leaves", "what is true after the last step", "[fork in the stand, air let out]"),
        ("off", "parts that are off when the work begins", "[air shaft]"),
        ("leaves off", "parts that are still off at the end", "[air shaft]"),
        ("follows", "the short name of the write-up that is done before", "release-the-air"),
    )
)

EXAMPLE = """---
title: Air-spring service, single-crown fork
level: air-spring
interval: 200 h
variants:
  ring: [eyelet, prong, spiral]
  bumper: [fitted, none]
never: [ring = prong; bumper = none]
given: [fork in the stand, shaft guarded]
leaves: [fork in the stand, air let out]
off: [air shaft]
leaves off: [air shaft]
follows: release-the-air
---
Demo values. Do not use on a real fork or shock. The maker's manual comes first.

## Make it safe

### Let the air out {#let-air-out}
critical: a cap under pressure can blind
needs: fork in the stand
makes: air let out
tool: shock pump

!!! warning "Air under pressure"
    hazard: Air can stay in the fork after the valve has stopped hissing.
    harm: A cap let go under pressure can blind.
    avoid: Let out all the air, extend the fork, and press the valve core once more.

Press the valve core until the hiss stops.

### Open the air chamber {#open-air-chamber}
opens: air chamber
after: let-air-out
hold: yes

!!! warning "Trapped air"
    hazard: Trapped air can push the shaft out.
    harm: A shaft that flies can break a finger.
    avoid: Keep your hands out of the line of the tube.

Unscrew the cap by a quarter turn.

## Take apart

### Pull the lower legs off {#pull-lower-legs-off}
takes off: lower legs
scraps: foot-nut washer

Pull the lower legs off.

### Look at the shaft {#look-at-shaft}
check: shaft free of scratches | replace the air-spring assembly
ends: shaft guarded

Look at the whole length of the shaft.

### Press the ring together {#press-ring-together}
only if: ring = eyelet | prong

Press the ring together with the pliers.

### Push the bumper down {#push-bumper-down}
only if: bumper = fitted

Push the bumper down by hand.

## Put together

### Fit the lower legs {#fit-lower-legs}
fits: lower legs
fits new: foot-nut washer
uses: suspension oil 10 mL
torque: 28 ± 2 N·m
measure: sag 20..30 %

Fit the lower legs and tighten the foot nuts.
"""
"""A small write-up in which every word of the language stands once, as its help shows it."""
