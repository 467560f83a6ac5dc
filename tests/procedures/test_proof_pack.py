"""Does each text of the rule set's own test pack have the findings that the pack states, and no
others?

The texts are the rule set's own; the source beside each row is the published document behind the
rule that it tries.
"""

from procedures.records.wording.say import say
from tests.for_each import for_each
from tests.procedures.proofed import caution, found, rules, step

FLYING = (
    '!!! warning "Ring"\n    hazard: The ring stores spring force.\n    harm: It can fly off and '
    "injure an eye.\n    avoid: Wear eye protection.\n\n"
)
PRESSURE = (
    '!!! warning "Cap"\n    hazard: Pressurised air stays below the cap.\n    harm: The cap can '
    "blind you.\n    avoid: Keep your face away from the cap.\n\n"
)
TORQUE = "tool: torque wrench\ntorque: 28 ± 2 N·m\n"
BOTH = """\
!!! caution "Pinch point"
    hazard: The vise makes a pinch point.
    harm: It can crush a finger.
    avoid: Keep your fingers away from the jaws.

!!! warning "Air"
    hazard: Pressurised air stays in the fork.
    harm: A part can blind you.
    avoid: Keep your face away from the tube.

Lay the rag down.
"""
AFTER = "Lay the rag down.\n\n" + PRESSURE

PACK = [
    (
        1,
        step("Remove the retaining ring and pull out the shaft."),
        ["PL-06", "ST-01"],
        "ASD-STE100 issue 9, rule 5.2; IEC/IEEE 82079-1",
    ),
    (
        2,
        step("The top cap should be unscrewed carefully."),
        ["LG-06", "PL-06", "SM-06", "ST-02"],
        "ASD-STE100 issue 9, rules 5.3, 3.6, 7.3",
    ),
    (
        3,
        caution("notice", hazard="Oil runs out.", harm="Oil can injure your eyes."),
        ["SW-04"],
        "ANSI Z535.4-2007, 4.14.4",
    ),
    (
        4,
        caution("caution", hazard="Solvent stays on the seal.", harm="Solvent damages the seal."),
        ["SW-02", "SW-05"],
        "ANSI Z535.4-2007, 4.14.3 and 4.14.4",
    ),
    (5, step(AFTER), ["PL-01"], "IEC/IEEE 82079-1: before the step it belongs to"),
    (
        6,
        step("Lay the rag down.\n\nNote: Tighten the bolt again after the test."),
        ["LG-12"],
        "ASD-STE100 issue 9, rule 5.5; MIL-STD-38784B, 3.2.19",
    ),
    (7, step("Cycle the fork."), ["ST-09"], "DOE-STD-1029-92, section 4"),
    (8, step("Close the valve if air comes out."), ["ST-03"], "ASD-STE100 issue 9, rule 5.4"),
    (
        9,
        step("Tighten the top cap to 28 N·m (200 in-lbf).", TORQUE),
        ["NU-01"],
        "NIST SP 811, appendix B.8: 28 N·m is 247.8 lbf·in",
    ),
    (
        10,
        caution("warning", hazard="Pressure", harm="be careful", avoid=""),
        ["SM-01", "SM-03", "SM-06"],
        "ANSI Z535.6; ASD-STE100 issue 9, rule 7.3",
    ),
    (11, step(BOTH), ["PL-02"], "MIL-STD-38784B"),
    (12, step("Wait."), ["ST-08"], "DOE-STD-1029-92, section 4"),
    (
        13,
        caution("danger", harm="A part can kill you."),
        ["SW-02"],
        "ANSI Z535.4-2007, 4.14.1 and 4.14.2: could is WARNING",
    ),
    (
        14,
        step(FLYING + "Let the ring open with the internal ring pliers."),
        ["DC-02"],
        "OASIS DITA 1.3, prelreqs",
    ),
    (
        15,
        step("Hold the air shaft and turn the foot bolt."),
        [],
        "ASD-STE100 issue 9, rule 5.2: two at the same time",
    ),
    (
        16,
        step("Put the back-up ring on the low-pressure side of the X-ring."),
        [],
        "ASD-STE100 issue 9",
    ),
]


@for_each([row[1:3] for row in PACK])
def test_the_pack(text, wanted):
    assert rules(text) == wanted


def test_row_1_misses_the_flying_ring():
    (one,) = [each for each in found(PACK[0][1]) if each.rule == "PL-06"]
    assert "flying ring" in say(one.remark)


def test_row_2_names_the_word_and_the_trapped_pressure():
    told = {each.rule: say(each.remark) for each in found(PACK[1][1])}
    assert "“carefully”" in told["SM-06"]
    assert "trapped pressure" in told["PL-06"]


def test_rows_4_and_13_say_which_word():
    told = [
        say(each.remark) for row in (3, 12) for each in found(PACK[row][1]) if each.rule == "SW-02"
    ]
    assert "a NOTICE, not a CAUTION" in told[0]
    assert "a WARNING, not a DANGER" in told[1]


def test_row_9_says_what_it_should_be():
    """28 N·m = 247.8 lbf·in: NIST SP 811, appendix B.8 (1 lbf·in = 0.112 984 8 N·m)."""
    (one,) = [each for each in found(PACK[8][1]) if each.rule == "NU-01"]
    assert "247.8 in·lbf" in say(one.remark)


def test_row_15_is_a_hint_and_row_16_has_nothing_at_all():
    assert [(each.rule, each.level) for each in found(PACK[14][1])] == [("ST-01", "I")]
    assert found(PACK[15][1]) == ()


def test_the_conforming_block_asks_for_nothing():
    """The sample of a conforming block that closes the pack: a section message and five steps."""
    block = """\
---
title: Release the air
level: lower-leg
---
This is for trying. WARNING means death or serious injury.

!!! warning "Air in the fork"
    hazard: Pressurised air can stay in the fork.
    harm: A part can fly out and blind you.
    avoid: Keep your face out of the line of the tube.

## Open the air side

!!! warning "Trapped air"
    hazard: Air pressure can stay in the negative chamber after the positive chamber is empty.
    harm: A part can fly out and cause serious eye or face injury.
    avoid: Wear eye protection. Keep your face and hands away from the end of the tube.
     If a part moves by itself, stop.

### One

Put on the eye protection.

### Two

Push the valve pin slowly until no more air comes out.

### Three

Cycle the fork 3 times.

### Four

Push the valve pin again.

### Five
hold: yes

Make sure that the fork moves freely through its full travel.
"""
    assert rules(block, hints=True) == []
