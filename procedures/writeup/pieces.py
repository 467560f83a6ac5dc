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
    _caution("danger", "Danger", "will kill or maim, if it is not avoided"),
    _caution("warning", "Warning", "can kill or maim, if it is not avoided"),
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
        ("critical", "a mistake here can hurt someone or ruin the part", "why it matters"),
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
