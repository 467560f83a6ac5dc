"""What does reading, rehearsing and laying out a write-up cost beside laying out its bare Markdown?

`python -m tests.bench.writeup_render` takes a write-up of 300 steps. The floor is Python-Markdown
and nh3 over the same text at once; ours is parse, rehearse and the HTML of every piece.
"""

import argparse
import sys

import nh3
from markdown import Markdown

from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.render import body_html
from procedures.writeup.rules import ShopRules
from tests.bench.rounds import ROUNDS, compare

GOAL = 1.6
STEP = """
### Step {number}: tighten the bolt {{#step-{number}}}
critical: a loose bolt lets the wheel go
needs: fact {number}
makes: fact {next}
tool: torque wrench
torque: foot bolt 28 ± 2 N·m
check: thread free of oil | clean it and look again

!!! warning "Trapped air {number}"
    hazard: Air can stay in the chamber of leg {number}.
    harm: A part that flies out can blind.
    avoid: Press the valve core once more and keep the face away.

Tighten bolt **{number}** to [[28 N·m]] in two turns. Look at the *gap* from both sides:

- the gap is even all round,
- the washer lies flat, and no thread shows.

| leg | value |
|-----|-------|
| left | {number} |
| right | {next} |
"""


def text(steps: int) -> str:
    """A write-up of that many steps, each different."""
    return "---\ntitle: Bench\ngiven: [fact 1]\nleaves: [fact 1]\n---\n\n## Work\n" + "".join(
        STEP.format(number=number, next=number + 1) for number in range(1, steps + 1)
    )


def floor(written: str, reader: Markdown) -> int:
    return len(nh3.clean(reader.reset().convert(written)))


def ours(written: str) -> int:
    read = parse(written)
    rehearse(read, ShopRules())
    return sum(
        len(body_html(piece))
        for step in read.steps
        for piece in (step.body, *(caution.text for caution in step.cautions))
        if piece
    )


def main(steps: int, rounds: int) -> bool:
    """Whether the kindest round was within the goal."""
    written = text(steps)
    reader = Markdown(extensions=["tables", "def_list", "fenced_code", "sane_lists"])
    return compare(
        f"write-up of {steps} steps",
        lambda: floor(written, reader),
        lambda: ours(written),
        GOAL,
        rounds,
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--steps", type=int, default=300)
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    given = parser.parse_args()
    sys.exit(0 if main(given.steps, given.rounds) else 1)
