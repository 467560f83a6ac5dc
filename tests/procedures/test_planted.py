"""Does the rehearsal find what goes wrong when somebody spoils a good write-up?

No source outside: the demo write-ups are spoilt in four ways (planted.py), and a second
implementation of the language's document, which walks every fork by itself, must agree about each
fault that is missed.
"""

from random import Random

import pytest

from tests.procedures.planted import Spoiler, found, library, the_judge_finds

SAMPLE = 30


@pytest.mark.parametrize("name", sorted(library()))
def test_a_planted_fault_is_found_or_has_a_reason_to_be_harmless(name):
    spoiler = Spoiler(name, library()[name])
    faults = list(spoiler.every())
    for fault in Random(name).sample(faults, min(SAMPLE, len(faults))):
        if not found(fault):
            assert not the_judge_finds(fault), (fault.kind, fault.about)
            assert spoiler.reason(fault), (
                f"{fault.kind} at {fault.about} moves something and is not found"
            )


GOOD = """---
title: Demo
variants:
  ring: [eyelet, prong]
---
## Work

### Guard {#guard}
makes: shaft guarded

Guard it.

### Off {#off}
needs: shaft guarded
takes off: seal

Take it off.

### On {#on}
fits: seal

Fit it.

### Free {#free}
ends: shaft guarded

Free it.
"""


def test_every_fault_that_moves_a_part_or_a_guard_of_four_plain_steps_is_found():
    """Worked by hand: each step moves something and each stands on the one before; only two lines
    merely ask or repeat.
    """
    faults = list(Spoiler("demo", GOOD).every())
    missed = {(fault.kind, fault.about) for fault in faults if not found(fault)}
    assert missed == {("drop a line", "off"), ("swap two steps", "on")}
    assert {fault.kind for fault in faults} == {
        "drop a step",
        "drop a line",
        "swap two steps",
        "double a step",
        "make conditional",
    }
