"""Does each rule find its fault, and keep quiet where the rule set names a false alarm?

Every text is made up. The source beside each is the published document behind the rule; “false
alarm” marks an example that the rule set itself names as one that a check must let pass, “on
purpose” one that it must find all the same.
"""

import pytest

from procedures.writeup.proof.catalogue import CATALOGUE
from procedures.writeup.proof.numbers import half_of_the_last_digit
from procedures.writeup.proof.signal_words import table
from tests.for_each import for_each
from tests.procedures.proofed import INTRO, caution, found, step
from tests.procedures.test_proof_pack import FLYING, PRESSURE, TORQUE

PINCH = (
    '!!! caution "Pinch point"\n    hazard: The driver makes a pinch point.\n    harm: It can '
    "crush a finger.\n    avoid: Keep your fingers away.\n\n"
)
AIR = (
    '!!! caution "Mist"\n    hazard: Pressurised air carries oil mist.\n    harm: It can hurt '
    "your eyes.\n    avoid: Keep your face away.\n\n"
)
SHORT = (
    '!!! warning "{}"\n    hazard: Pressurised air stays here.\n    avoid: Keep your face away.\n\n'
)
LIST = "Do one of these:\n\n{}"
MAKE_DRY = "### Dry it\n\nDry the bore.\n\n"


def header(text, old, new):
    return text.replace(old, new, 1)


FINDS = [
    # Signal words: ANSI Z535.4-2007, 4.14 to 4.14.4
    ("SW-01", step("Lay the rag down.\n\nATTENTION: hot.")),
    ("SW-01", step("Lay the rag down.\n\nWarning: it is hot.")),
    ("SW-01", step('!!! attention "Hot"\n    It is hot.\n\nLay the rag down.')),
    ("SW-02", caution("caution", harm="It can blind you.")),
    ("SW-04", caution("notice", hazard="Oil runs out.", harm="Oil can get on your skin.")),
    ("SW-05", caution("warning", harm="The seal leaks.")),
    (
        "SW-06",
        caution(
            "warning",
            hazard="Pressurised air, hot oil and a sharp edge.",
            harm="They can blind you.",
        ),
    ),
    (
        "SW-07",
        step(
            PRESSURE
            + PRESSURE.replace("warning", "caution").replace("blind", "hurt")
            + "Lay the rag down."
        ),
    ),
    (
        "SW-08",
        caution(
            "warning", hazard="There is a danger of pressurised air.", harm="It can blind you."
        ),
    ),
    # Content: ANSI Z535.6; IEC/IEEE 82079-1; ASD-STE100, section 7
    ("SM-01", caution("warning", harm="It can blind you.", avoid="")),
    ("SM-01", caution("warning", hazard="", harm="It can blind you.")),
    ("SM-02", step(SHORT.format("New") + "Lay the rag down.")),
    ("SM-03", caution("warning", harm="This can make problems.")),
    ("SM-04", caution("warning", hazard="The workbench.", harm="It can blind you.")),
    # the rule set: to be rewritten
    ("SM-05", caution("warning", harm="It can blind you.", avoid="Eye protection on.")),
    ("SM-06", step("Carefully lower the leg.")),  # on purpose
    ("SM-06", caution("warning", harm="It can blind you.", avoid="Take care.")),
    (
        "SM-07",
        caution(
            "warning",
            harm="It can blind you.",
            avoid="Keep " + "the face and " * 8 + "the hands away.",
        ),
    ),
    ("SM-08", caution("warning", harm="It can blind you.", avoid="Unscrew the top cap.")),
    ("SM-09", caution("warning", harm="It can blind you.", avoid="Wear a face mask.")),
    # Places: MIL-STD-38784B; IEC/IEEE 82079-1
    ("PL-01", step("Lay the rag down.\n\n" + PINCH)),
    ("PL-04", step(FLYING + PRESSURE + PINCH + AIR + "Lay the rag down.", before=MAKE_DRY)),
    ("PL-06", step("Open the air can.")),
    ("PL-06", step("Take the top cap off.")),
    ("PL-06", step("Push the valve pin until no more air comes out.")),
    ("PL-06", step("Install the circlip.")),
    ("PL-06", step("Spray brake cleaner on the disc.")),
    ("PL-06", step("Wipe the bore.", "uses: isopropyl alcohol 5 mL")),
    ("PL-06", step("Heat the bolt to [[80 °C]].")),
    ("PL-06", step("Apply threadlocker to the bolt.")),
    ("PL-06", step("Press the new wiper into its seat.")),
    ("PL-06", step("Remove the wiper with a pick.")),
    ("PL-06", step("Pour the oil into the can.")),
    ("PL-06", step("Inflate the fork to [[50 psi]].")),
    ("PL-06", step("Charge the damper with nitrogen.")),
    # Steps: ASD-STE100, section 5; MIL-STD-2106A; DOE-STD-1029-92
    ("ST-01", step("Lay the rag down. Wipe the bore.")),
    ("ST-01", step("Remove the bolt and then pull the shaft out.")),
    ("ST-01", step("Clean the bore before inserting the shaft.")),
    ("ST-02", step("The bolt is tight.")),
    ("ST-02", step("Lay the rag down. The bore must be dry.")),
    ("ST-03", step("If air comes out close the valve.")),
    ("ST-04", step("Do this:\n\n1. Wipe the bore.\n3. Look at it.", "check: dry")),
    ("ST-04", step("Do this:\n\n- Wipe the bore.\n    - Look at it.")),
    ("ST-06", step("Do not turn the shaft.")),
    ("ST-07", step("Measure the shaft.")),
    ("ST-07", step("Tighten the bolt.")),
    ("ST-08", step("Wait a little.")),
    ("ST-09", step("Repeat the test.")),
    ("ST-10", step("Do this:\n\n- Wipe the bore, or\n- Dry the bore.")),
    ("ST-12", step("Do step 9 again.")),
    ("ST-12", step("Go on as in step 2.", before=MAKE_DRY)),
    ("ST-12", step("Look as in step 1 and step 1.", before=MAKE_DRY)),
    # Lists: OASIS DITA 1.3
    ("DC-02", step("Turn the bolt with the torque wrench.")),
    ("DC-03", step("Oil the ring.", "uses: bath oil")),
    ("DC-03", step("Oil the ring.", "uses: bath oil as required")),  # on purpose
    ("DC-04", header(step(PRESSURE + "Unscrew the top cap."), "follows: release-the-air\n", "")),
    ("DC-05", header(step("Lay the rag down."), INTRO, "")),
    (
        "DC-06",
        header(
            step("Lay the rag down."),
            "Air-spring service",
            "How to take the air spring out of a fork and back",
        ),
    ),
    ("DC-07", header(step("Lay the rag down."), "level: air-spring\n", "")),
    ("DC-09", header(step("Lay the rag down."), "The words: DANGER and WARNING mean", "They mean")),
    ("DC-10", header(step(PRESSURE + "Unscrew the top cap."), INTRO, "For trying.\n\n")),
    # Language: ASD-STE100 (the numbers of its rules stand in the catalogue)
    ("LG-01", step("Put " + "the rag and " * 7 + "the tray on the bench.")),
    ("LG-02", step("Lay the rag down.\n\nThe oil " + "of the fork and " * 8 + "is green.")),
    ("LG-03", step("Lay the rag down.\n\n" + "It is so. " * 7)),
    ("LG-04", step("Lay the rag down; it is wet.")),
    ("LG-05", step("Look at the shaft seal head piston ring bolt.")),
    ("LG-06", step("Lay the rag down. The bolt was tightened before.")),
    ("LG-07", step("Verify the level.")),
    ("LG-07", step("Lay the rag down prior to the test.")),
    ("LG-08", step("Don't lay the rag down.")),
    ("LG-08", step("Lay the rags etc. down.")),
    ("LG-09", step("Carry out the test.")),
    ("LG-10", step("Wipe the upper tube.")),
    ("LG-11", step("Add some oil.")),
    ("LG-11", step("Push it in about 5 mm.")),
    ("LG-12", step("Lay the rag down.\n\nNote: Remember the rag.")),  # on purpose
    ("LG-13", step("Turn bolt to the left.")),
    ("LG-14", step("Lay the rag down.\n\nThe valve sits in the housing. It is small.")),
    ("LG-15", step("Never turn the shaft.")),
    # Numbers: NIST SP 811, appendix B.8
    ("NU-01", step("Inflate the tyre to 100 psi (7.5 bar).")),
    ("NU-02", step("Tighten the bolt to 28.", "check: tight")),
    ("NU-02", step("Tighten the bolt to 28 N·m.")),
    ("NU-02", step("Tighten the bolt.", "torque: 28 N·m")),
    ("NU-03", step("Read 2 bar absolute on the gauge.")),
    ("NU-05", step("Turn the knob 8 to 5 clicks.")),
    ("NU-06", step("Tighten the cap to [[35 N·m]].", TORQUE)),
]

LETS_PASS = [
    # Signal words
    ("SW-01", step("Lay the rag down.\n\nNote: The rag is wet.")),  # false alarm: a note
    ("SW-01", step("Peel the caution label off.")),  # false alarm: a part called so
    # false alarm: quoted label
    ("SW-01", step("Lay the rag down.\n\n“WARNING: hot” stands on the label.")),
    ("SW-02", caution("danger", harm="The charge will kill you.")),
    # false alarms of SW-04: five
    ("SW-04", caution("notice", hazard="Oil runs out.", harm="A cut seal leaks.")),
    ("SW-04", caution("notice", hazard="Oil runs out.", harm="A pinched O-ring leaks.")),
    (
        "SW-04",
        caution("notice", hazard="Oil runs out.", harm="A bolt that is only hand-tight leaks."),
    ),
    ("SW-04", caution("notice", hazard="Oil runs out.", harm="A bent eyelet breaks.")),
    ("SW-04", caution("notice", hazard="A thread edge.", harm="It can cut the new seal.")),
    ("SW-05", caution("warning", harm="Loss of sight.")),  # false alarm: a sense only
    ("SW-05", caution("warning", harm="A fatal blow.")),
    # false alarm: one hazard, two harms
    (
        "SW-06",
        caution("warning", hazard="Pressurised air.", harm="It can blind you and cut your hand."),
    ),
    ("SW-07", step(PRESSURE + PRESSURE + "Lay the rag down.")),
    # Content
    # false alarm: implicit consequence
    ("SM-01", step('!!! caution "Edge"\n    Sharp edge. Wear gloves.\n\nLay the rag down.')),
    # a full one of this title above
    ("SM-02", step(SHORT.format("Air in the fork") + "Lay the rag down.")),
    # false alarm: a reason follows
    ("SM-03", caution("warning", harm="It is unsafe to ride, because the wheel can lock.")),
    # false alarm
    (
        "SM-08",
        caution(
            "warning", harm="It can blind you.", avoid="Release the air before you turn the cap."
        ),
    ),
    ("SM-08", caution("warning", harm="It can blind you.", avoid="Do not remove the cap.")),
    # given from the start
    ("SM-09", caution("warning", harm="It can blind you.", avoid="Wear eye protection.")),
    (
        "SM-09",
        step(
            '!!! warning "W"\n    hazard: Solvent vapour.\n    harm: It can hurt your '
            "lungs.\n    avoid: Wear a mask.\n\nLay the rag down.",
            before="### Mask\n\nPut on the mask.\n\n",
        ),
    ),
    # Places
    # false alarm
    (
        "PL-01",
        step(
            'Lay the rag down.\n\n!!! notice "Before the ride"\n    hazard: Oil on the '
            "disc.\n    harm: The brake fails.\n    avoid: Do not ride before the test."
        ),
    ),
    # false alarm: first step
    ("PL-04", header(step(FLYING + PRESSURE + PINCH + AIR + "Lay the rag down."), MAKE_DRY, "")),
    ("PL-06", step("Install the top cap.")),  # false alarm: an unpressurised cap goes back
    ("PL-06", step(PRESSURE + "Unscrew the top cap.")),
    ("PL-06", header(step("Unscrew the top cap."), "## Work\n\n", "## Work\n\n" + PRESSURE)),
    ("PL-06", step("Do not remove the top cap.")),
    # Steps
    ("ST-01", step("Clean and dry the bore.")),  # false alarm
    ("ST-01", step("Remove the nuts and bolts.")),  # false alarm: pairs of nouns
    ("ST-01", step("Push and hold the pin.")),  # false alarm
    ("ST-01", step("Remove the seal and lock ring.")),  # false alarm: “lock ring” is a name
    ("ST-01", step("Do this:\n\n1. Wipe the bore.\n2. Dry the bore.")),
    ("ST-02", step("Oil the foam ring.")),  # false alarms: four words that are nouns too
    ("ST-02", step("Grease the thread.")),
    ("ST-02", step("Air the room.")),
    ("ST-02", step("Torque the bolt to [[7 N·m]].", "torque: 7 ± 1 N·m\ntool: torque wrench")),
    ("ST-02", step("If the cap hisses, stop.")),
    ("ST-03", step("Push the pin until no air comes out.")),  # false alarm: until
    ("ST-03", step("Turn the shaft while you hold the head.")),  # false alarm: while
    ("ST-04", step("Do this:\n\n1. Wipe the bore.\n1. Dry the bore.")),
    ("ST-07", step("Make sure that the bench is clean.")),  # false alarm: the state is the text
    ("ST-08", step("Wait until the bubbles stop.")),  # false alarm
    ("ST-08", step("Wait [[30 s]].")),
    ("ST-09", step("Cycle the fork 10 times.")),  # false alarm
    ("ST-09", step("Cycle the fork [[10 times]].")),
    ("ST-12", step("Put the stepped driver, step up, on the seal.")),  # false alarm: step as a noun
    # Lists
    # false alarm: another spelling
    ("DC-02", step("Turn the bolt with the core tool.", "tool: valve-core tool")),
    ("DC-02", step("Slide the brake calliper aside.")),
    ("DC-03", step("Spread a thin film of grease on the lip.", "uses: suspension grease")),
    ("DC-03", step("Wipe the bore.", "uses: lint-free cloth")),
    # Language
    (
        "LG-01",
        step(
            "If the cap does not turn freely by hand after the first quarter turn, stop and "
            "release the air again."
        ),
    ),
    # false alarm
    (
        "LG-01",
        step(
            "Turn the M8 x 1.25 bolt and the M8 x 1.25 nut and the M8 x 1.25 rod all round by hand."
        ),
    ),
    # false alarm: lists
    ("LG-03", step("Do this:\n\n" + "".join(f"{n}. Wipe the bore.\n" for n in range(1, 9)))),
    ("LG-04", step("Lay the rag on `a; b`.")),  # false alarm: code
    ("LG-05", step("Turn the lower leg foot bolt.")),  # false alarms: the trade's own names
    ("LG-05", step("Turn the air spring seal head.")),
    ("LG-06", step("Make sure that the valve is closed.")),  # false alarms: states
    ("LG-06", step("Make sure that the ring is seated.")),
    ("LG-06", step("Make sure that no thread is worn.")),
    ("LG-07", step("Look at the check valve.")),  # false alarm: a part
    ("LG-09", step("Put on the gloves.")),  # false alarms: on, in, up
    ("LG-09", step("Screw in the bolt by hand.")),
    ("LG-09", step("Top up the oil.")),
    ("LG-10", step("Read the label “lowers”.")),  # false alarm: a quotation
    ("LG-11", step("Turn the cap until it is hand-tight.")),  # false alarm
    ("LG-12", step("Lay the rag down.\n\nNote: The rag stays wet.")),
    ("LG-13", step("Wipe oil off the shaft.")),  # false alarms: mass nouns
    ("LG-13", step("Spread grease on the lip.")),
    ("LG-13", step("Let air out of the fork.")),
    # Numbers
    ("NU-01", step("Tighten the cap to 28 N·m (248 in-lbf).", TORQUE)),
    # false alarm: rounded on purpose
    ("NU-01", step("Tighten the cap to 28 N·m (250 in-lbf nominal).", TORQUE)),
    ("NU-02", step("Tighten the cap to 28 N·m.", TORQUE)),
    ("NU-05", step("Turn the knob 5 to 8 clicks.")),
    ("NU-06", step("Tighten the cap to 28 N·m (248 in-lbf).", TORQUE)),
    ("NU-06", step("Tighten the cap to 248 in·lbf.", TORQUE)),
]


@for_each(FINDS)
def test_it_is_found(rule, text):
    assert rule in {each.rule for each in found(text)}


@for_each(LETS_PASS)
def test_it_is_let_pass(rule, text):
    assert rule not in {each.rule for each in found(text)}


def test_every_rule_has_a_text_in_which_it_is_found():
    # in the pack, and in the tests below
    pack = {"LG-06", "PL-02", "SW-03", "PL-05", "ST-05", "RD-01"}
    assert {rule for rule, _ in FINDS} | pack == set(CATALOGUE)


def test_what_takes_many_steps_or_words():
    """Numbers of the rule set: one DANGER, three times a caution in a phase, ten steps, school year
    nine (MIL-STD-38784B, 4.8.3).
    """
    steps = "".join(f"### Step {n}\n\n{PRESSURE}Lay the rag down.\n\n" for n in range(10))
    assert {"PL-05", "ST-05"} <= {
        each.rule for each in found(step("Lay the rag down.", before=steps))
    }
    shorter = "".join(f"### Step {n}\n\nLay the rag down.\n\n" for n in range(9))
    assert "ST-05" not in {each.rule for each in found(step("Lay the rag down.", before=shorter))}
    killing = (
        '!!! danger "D{}"\n    hazard: Pressurised gas.\n    harm: It will kill you.\n    avoid: '
        "Keep away.\n\n"
    )
    assert [
        each.line
        for each in found(step(killing.format(1) + "Lay the rag down."))
        if each.rule == "SW-03"
    ] == []
    assert (
        len(
            [
                each
                for each in found(step(killing.format(1) + killing.format(2) + "Lay the rag down."))
                if each.rule == "SW-03"
            ]
        )
        == 1
    )
    hard = "Equalisation considerations necessitate appropriate depressurisation. " * 20
    assert [
        each.level for each in found(step("Lay the rag down.\n\n" + hard)) if each.rule == "RD-01"
    ] == ["E"]
    assert "RD-01" not in {
        each.rule for each in found(step("Lay the rag down.\n\n" + "The cap is on the fork. " * 25))
    }


@pytest.mark.parametrize(("words", "level"), [(20, None), (21, "W"), (22, "W"), (23, "E")])
def test_a_command_of_21_or_22_words_is_asked_about_and_a_longer_one_is_an_error(words, level):
    """ASD-STE100, rule 5.1: 20 words."""
    text = step("Lay " + "very " * (words - 4) + "long rags down.")
    assert next((each.level for each in found(text) if each.rule == "LG-01"), None) == level


def test_the_table_of_signal_words_has_the_six_rows():
    """ANSI Z535.4-2007, 4.14.1 to 4.14.4; ANSI Z535.6, annex C4.1."""
    assert [row[3] for row in table()] == [
        "danger",
        "warning",
        "warning",
        "warning",
        "caution",
        "notice",
    ]


@pytest.mark.parametrize(
    ("number", "half"), [("248", "0.5"), ("6.9", "0.05"), ("1,38", "0.005"), ("200", "0.5")]
)
def test_half_of_the_last_digit_is_rounding(number, half):
    """The usual reading of a rounded number (JCGM 100, 4.3.7 gives the half-width; from memory)."""
    assert str(half_of_the_last_digit(number)) == half
