"""Does proofing find what the shop's list of writing rules says it finds, and keep quiet where the
list says so?

Source: the mini test pack and the notes on false positives in the shop's list of writing rules,
which names ANSI Z535.4 and Z535.6, IEC/IEEE 82079-1, ASD-STE100, MIL-STD-38784B, MIL-STD-2106A and
DOE-STD-1029 rule by rule. Torque: NIST SP 811, appendix B.8 (1 lbf·in = 0.112 984 8 N·m). The
numbers of the pack stand beside its items.
"""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.parse import parse
from procedures.writeup.proof.catalogue import CATALOGUE as RULES
from procedures.writeup.proof.proofing import proof as proofread
from procedures.writeup.proof.signal_words import DAMAGE, MINOR, SEVERE, derive
from tests.for_each import for_each
from tests.procedures.planted import library

AIR = (
    '!!! warning "Air"\n    hazard: Air pressure stays in the chamber.\n    harm: A part can fly '
    "out and injure an eye.\n    avoid: Wear gloves.\n\n"
)


def write_up(body, *, fields="", given="[gloves]", before=""):
    return (
        f"---\ntitle: Demo\nlevel: air-spring\ngiven: {given}\n---\nThis is for "
        f"trying.\n\n{before}\n\n## Work\n\n### A step {{#a-step}}\n{fields}\n\n{body}\n"
    )


def rules(body, **more):
    text = write_up(body, **more)
    return {advice.rule for advice in proofread(parse(text), text)}


def asked(body):
    """The rules whose findings ask for an answer."""
    text = write_up(body)
    return {advice.rule for advice in proofread(parse(text), text) if advice.asks}


def caution(
    word,
    hazard="Pressurised air stays in the chamber.",
    harm="A part can fly out and blind you.",
    avoid="Wear gloves.",
    title="Air",
):
    lines = [("hazard", hazard), ("harm", harm), ("avoid", avoid)]
    return (
        f'!!! {word} "{title}"\n'
        + "".join(f"    {key}: {value}\n" for key, value in lines if value)
        + "\n"
    )


PACK = [
    (1, "Remove the retaining ring and pull out the shaft.", {"ST-01", "PL-06"}),
    (2, "The top cap should be unscrewed carefully.", {"ST-02", "LG-06", "SM-06"}),
    (3, caution("notice", hazard="Oil splashes.", harm="Oil can injure your eyes."), {"SW-04"}),
    (
        4,
        caution("caution", hazard="Solvent runs.", harm="Solvent damages the seal."),
        {"SW-02", "SW-05"},
    ),
    (5, "Turn the dial.\n\n" + caution("warning"), {"PL-01"}),
    (6, "Turn the dial.\n\nNote: Tighten the bolt again after the test.", {"LG-12"}),
    (7, "Cycle the fork.", {"ST-09"}),
    (8, "Close the valve if air comes out.", {"ST-03"}),
    (9, "Tighten the bolt to 28 N·m (200 in-lbf).", {"NU-01"}),
    (
        10,
        caution("warning", hazard="Pressure", harm="be careful", avoid=""),
        {"SM-01", "SM-03", "SM-06"},
    ),
    (11, caution("caution", title="B") + caution("warning"), {"PL-02"}),
    (12, "Wait.", {"ST-08"}),
    (13, caution("danger"), {"SW-02"}),
    (14, "Squeeze the ends with the internal ring pliers.", {"DC-02"}),
]


@for_each(PACK)
def test_the_mini_test_pack_comes_out_as_stated(number, body, expected):
    assert expected <= rules(body), number


def test_two_actions_at_once_are_no_fault():
    """Items 15 and 16 of the pack: simultaneous actions pass with a hint, and a good step passes
    everything.
    """
    assert asked("Hold the air shaft and turn the foot bolt.") == set()
    assert rules("Put the back-up ring on the low-pressure side of the X-ring.") == set()


@pytest.mark.parametrize(
    ("severity", "accident", "severe", "word"),
    [
        (SEVERE, "will", "will", "danger"),
        (SEVERE, "will", "could", "warning"),
        (SEVERE, "could", "will", "warning"),
        (SEVERE, "could", "could", "warning"),
        (MINOR, "will", "will", "caution"),
        (DAMAGE, "will", "will", "notice"),
    ],
)
def test_the_signal_word_follows_from_harm_and_chances(severity, accident, severe, word):
    """The six rows of ANSI Z535.4 (definitions) and Z535.6, annex C."""
    assert derive(severity, accident, severe) == word


@for_each(
    [
        (
            caution(
                "notice",
                hazard="The pick slips.",
                harm="A cut seal leaks.",
                avoid="Keep the pick flat.",
            ),
            "SW-04",
        ),
        ("Pull the seal out by hand.", "SW-04"),
        ("Cycle the fork 10 times.", "ST-09"),
        ("Wait until the bubbles stop.", "ST-08"),
        ("Push the pin until no air comes out.", "ST-03"),
        ("Oil the foam ring.", "ST-02"),
        ("If the cap hisses, stop.", "ST-02"),
        ("Make sure that the ring is seated.", "LG-06"),
        ("Make sure that the bench is clean.", "ST-07"),
        ("Tighten the bolt to 28 N·m (248 in-lbf).", "NU-01"),
        ("Tighten the bolt to 28 N·m (247.8 in-lbf).", "NU-01"),
        ("Top up the oil.", "LG-09"),
        (AIR + "Install the top cap.", "PL-06"),
        (caution("warning", avoid="Before you turn the cap, release the air again."), "SM-08"),
    ]
)
def test_what_the_list_calls_a_false_finding_is_not_found(body, rule):
    assert rule not in rules(body, given="[gloves, air let out]")


@for_each(
    [
        ("ATTENTION! Wear gloves.", "SW-01"),
        (
            caution("danger", harm="You will die.")
            + caution("danger", title="B", harm="You will die."),
            "SW-03",
        ),
        (caution("warning", hazard="There is a danger here from air."), "SW-08"),
        (caution("warning", hazard="Something bad."), "SM-04"),
        (caution("warning", avoid="Eye protection on."), "SM-05"),
        (caution("warning", avoid="Unscrew the top cap."), "SM-08"),
        (caution("warning", avoid="Wear eye protection."), "SM-09"),
        (
            "Look.\n\n### Another step\n\n"
            + "".join(caution("warning", title=str(n)) for n in range(4)),
            "PL-04",
        ),
        ("Press the valve core with the rag.", "PL-06"),
        ("Do step 4 again.", "ST-12"),
        ("Remove the bolt; wipe it.", "LG-04"),
        ("Ensure the ring lies flat.", "LG-07"),
        ("Use a rag, e.g. a clean one.", "LG-08"),
        ("Set up the stand.", "LG-09"),
        ("Wipe the lowers.", "LG-10"),
        ("Add some oil.", "LG-11"),
        ("Don't turn it.", "LG-15"),
        ("Turn " + "the very small dial and " * 8 + "stop.", "LG-01"),
    ]
)
def test_each_rule_finds_its_fault(body, rule):
    assert rule in rules(body)


def test_fields_are_proofread_too():
    assert "NU-02" in rules("Turn it.", fields="torque: cap 28 N·m")
    assert "NU-02" not in rules("Turn it.", fields="torque: cap 28 ± 2 N·m")
    assert "NU-06" in rules("Turn it to [[20 N·m]].", fields="torque: cap 28 ± 2 N·m")
    assert "NU-06" not in rules("Turn it to [[248 in·lbf]].", fields="torque: cap 28 ± 2 N·m")
    assert "DC-03" in rules("Drip it on.", fields="uses: suspension oil")
    assert "DC-02" not in rules(
        "Squeeze it with the internal ring pliers.", fields="tool: internal ring pliers"
    )
    assert "DC-07" in {
        advice.rule
        for advice in proofread(parse("---\ntitle: Demo\n---\n"), "---\ntitle: Demo\n---\n")
    }


def test_what_is_no_running_text_is_not_proofread():
    text = (
        "| a | b |\n| - | - |\n| it should be removed | ; |\n\n```\nit should be removed; "
        "now\n```\n\n![it should be; removed](drawing:x)"
    )
    assert rules("Turn it.\n\n" + text) == set()


@given(st.text(max_size=400))
def test_any_text_is_proofread_and_each_finding_lies_in_it(text):
    lines = len(re.split(r"\r\n|\n|\r", text))  # each of the three ends a line, as in an editor
    found = proofread(parse(text), text)
    assert [advice.line for advice in found] == sorted(advice.line for advice in found)
    assert all(1 <= advice.line <= lines and advice.rule in RULES for advice in found)


@for_each(sorted(library()))
def test_the_line_of_a_finding_holds_the_words_it_is_about(name):
    """On the demo write-ups, for the findings that quote a single word of running text."""
    text = library()[name]
    rows = text.split("\n")
    for advice in proofread(parse(text), text):
        if advice.rule in ("LG-11", "ST-12", "LG-06"):
            assert advice.about.split()[0] in " ".join(rows[advice.line - 1 : advice.line + 2])
