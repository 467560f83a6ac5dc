"""Are states and demands of the shop's rules rehearsed word for word as the language's document
says?

Each case is one clause of the document, worked by hand; the product and the second implementation
must both find just that.
"""

from itertools import permutations
from pathlib import Path

import pytest

from procedures.records.wording.say import say
from procedures.rehearsal.orders import is_right_order, right_orders
from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules
from tests.for_each import for_each
from tests.procedures.judge import differences, judge
from tests.procedures.test_judge_agrees import WARNED, write_up

STATES = """
safe: {air chamber: air let out}
temporary: [shaft guarded, rag on]
same: [[air let out, depressurised], [feet up, upside down]]
states: [[feet up, feet down, feet level], [air let out, air in], [rag on, rag off]]
"""
OIL = (
    STATES + "demands: [{when: {uses: bath oil}, needs: feet up, because: oil runs out of the foot "
    "holes}]\n"
)
PICK = (
    STATES
    + "demands: [{when: {tool: [ring pliers, plastic pick], takes off: [seal, ring]}, needs: "
    "[shaft guarded, lamp on], because: pliers slip}]\n"
)
RING = (
    STATES
    + "demands: [{when: {takes off: ring}, caution: warning, names: Flying  Ring, because: a "
    "squeezed ring flies}]\n"
)
TWO = "variants: {ring: [eyelet, prong], bumper: [fitted, none]}"


def said(word: str, title: str = "", hazard: str = "h") -> str:
    """A step's field that takes the ring off, with one message."""
    heading = f' "{title}"' if title else ""
    return (
        f"takes off: ring\n\n!!! {word}{heading}\n    hazard: {hazard}\n    harm: flying "
        "ring\n\nflying ring"
    )


BY_HAND = {
    # "`makes` of a fact that stands in a group clears the other facts of its group just before, in
    # silence"
    "made, the others go": (
        STATES,
        write_up("", "makes: feet up", "makes: feet down", "needs: feet up"),
        [("need-not-met", "c", "feet up", {})],
    ),
    "made, it holds itself": (
        STATES,
        write_up("", "makes: feet up", "makes: feet down", "needs: feet down"),
        [],
    ),
    "by another word": (
        STATES,
        write_up("", "makes: feet down", "makes: Upside  Down", "needs: feet down"),
        [("need-not-met", "c", "feet down", {})],
    ),
    # "also where they were only given"
    "given, then cleared": (
        STATES,
        write_up("given: feet up", "makes: feet level", "needs: feet up"),
        [("need-not-met", "b", "feet up", {})],
    ),
    # "taken as given": the need of a is told, that of c as well, since b has cleared it
    "taken, then cleared": (
        STATES,
        write_up("", "needs: feet up", "makes: feet down", "needs: feet up", "makes: feet up"),
        [("need-not-met", "a", "feet up", {}), ("need-not-met", "c", "feet up", {})],
    ),
    # "or found safe by `opens`": the second opening finds it missing again
    "opened, then cleared": (
        STATES,
        write_up("", f"opens: air chamber{WARNED}", "makes: air in", f"opens: air chamber{WARNED}"),
        [("opens-unsafe", "a", "air chamber", {}), ("opens-unsafe", "c", "air chamber", {})],
    ),
    # "values of one `makes` in the order written"
    "last made stands": (
        STATES,
        write_up("", "makes: feet up; feet down", "needs: feet down", "needs: feet up"),
        [("need-not-met", "c", "feet up", {})],
    ),
    # "A temporary fact that is cleared so has ended": no guard is left, ending it again ends
    # nothing, making it again is not twice
    "a guard cleared has ended": (
        STATES,
        write_up("", "makes: rag on", "makes: rag off", "makes: rag on", "makes: rag off"),
        [],
    ),
    "a guard cleared ends nothing": (
        STATES,
        write_up("", "makes: rag on", "makes: rag off", "ends: rag on"),
        [("ends-nothing", "c", "rag on", {})],
    ),
    "a guard is still made twice": (
        STATES,
        write_up("", "makes: rag on", "makes: rag on", "ends: rag on"),
        [("made-twice", "b", "rag on", {})],
    ),
    # "`ends` works as ever": it makes no other fact of the group true
    "ending makes nothing": (
        STATES,
        write_up("", "makes: feet up", "ends: feet up", "needs: feet down", "makes: feet down"),
        [("need-not-met", "c", "feet down", {})],
    ),
    "cleared before the end": (
        STATES,
        write_up("leaves: feet up", "makes: feet up", "makes: feet down"),
        [("leaves-not-met", None, "feet up", {})],
    ),
    # "`given` with two facts of one group is `bad-header` about the second", and the rest is
    # rehearsed without it
    "two of a group given": (
        STATES,
        write_up("given: [feet up, feet down]", "needs: feet up", "needs: feet down"),
        [("bad-header", None, "feet down", {}), ("never-made", "b", "feet down", {})],
    ),
    "one fact by two words is no contradiction": (
        STATES,
        write_up("given: [feet up, upside down, feet up]", "needs: feet up"),
        [],
    ),
    "only some forks": (
        STATES,
        write_up(
            TWO,
            "makes: feet up",
            "only if: ring = prong; bumper = none\nmakes: feet down",
            "needs: feet up",
        ),
        [("need-not-met", "c", "feet up", {"ring": "prong", "bumper": "none"})],
    ),
    # "each demanded fact must hold … else `demand-not-met`; `about` the fact" (as the rules write
    # it)
    "demanded and missing": (
        OIL,
        write_up("", "uses: Bath  oil 10 mL"),
        [("demand-not-met", "a", "feet up", {})],
    ),
    "demanded and there": (OIL, write_up("", "makes: upside down", "uses: bath oil 10 mL"), []),
    "another name of oil": (OIL, write_up("", "uses: bath oil remover"), []),
    # "A demand never counts as a step that makes a fact", and what it took as given is not missed
    # by a later need
    "a demand makes nothing": (
        OIL,
        write_up("", "needs: feet up", "uses: bath oil"),
        [("never-made", "a", "feet up", {})],
    ),
    "taken as given from there on": (
        OIL,
        write_up("", "uses: bath oil", "needs: feet up", "ends: feet up"),
        [("demand-not-met", "a", "feet up", {})],
    ),
    "taken once": (
        OIL,
        write_up("leaves: feet up", "uses: bath oil", "uses: bath oil"),
        [("demand-not-met", "a", "feet up", {})],
    ),
    "cleared, then demanded again": (
        OIL,
        write_up("", "uses: bath oil", "makes: feet down", "uses: bath oil"),
        [("demand-not-met", "a", "feet up", {}), ("demand-not-met", "c", "feet up", {})],
    ),
    # "a fact that the step lists under `needs` itself is told there and not again"
    "needed and demanded": (
        OIL,
        write_up("", "uses: bath oil\nneeds: feet up", "makes: feet up"),
        [("need-not-met", "a", "feet up", {})],
    ),
    # "after its own `needs` and before `takes off`" … `makes`
    "made in the same step": (
        OIL,
        write_up("", "uses: bath oil\nmakes: feet up"),
        [("demand-not-met", "a", "feet up", {})],
    ),
    "ended in the same step": (
        OIL,
        write_up("given: feet up", "uses: bath oil\nends: feet up"),
        [],
    ),
    # "as for `needs` (so it does not satisfy `opens`)"; a first opening finds it missing, later
    # ones do not
    "a demand satisfies no opening": (
        STATES + "demands: [{when: {tool: pump}, needs: depressurised, because: x}]",
        write_up("", "tool: pump", f"opens: air chamber{WARNED}", f"opens: air chamber{WARNED}"),
        [("demand-not-met", "a", "depressurised", {}), ("opens-unsafe", "b", "air chamber", {})],
    ),
    "an opening satisfies a demand": (
        STATES + "demands: [{when: {tool: pump}, needs: depressurised, because: x}]",
        write_up("", f"opens: air chamber{WARNED}", "tool: pump"),
        [("opens-unsafe", "a", "air chamber", {})],
    ),
    # "for *every* field named at least one of the step's values is among those listed"
    "both fields": (
        PICK,
        write_up("", "tool: plastic pick\ntakes off: seal", "fits: seal\ntool: plastic pick"),
        [("demand-not-met", "a", "lamp on", {}), ("demand-not-met", "a", "shaft guarded", {})],
    ),
    "one field alone": (
        PICK,
        write_up("", "takes off: seal", "fits: seal\ntool: plastic pick"),
        [],
    ),
    "one of several values": (
        PICK,
        write_up(
            "given: lamp on", "tool: rag; Ring  pliers\ntakes off: cap; ring", "fits: cap; ring"
        ),
        [("demand-not-met", "a", "shaft guarded", {})],
    ),
    # "One finding per step and fact; the first demand gives the words"
    "two demands of one fact": (
        OIL.rstrip("]\n") + ", {when: {tool: syringe}, needs: upside down, because: y}]",
        write_up("", "tool: syringe\nuses: bath oil"),
        [("demand-not-met", "a", "feet up", {})],
    ),
    "which forks": (
        OIL,
        write_up(TWO, "only if: bumper = none\nuses: bath oil", "only if: ring = eyelet"),
        [("demand-not-met", "a", "feet up", {"bumper": "none"})],
    ),
    # a guard that a demand took as given is neither left on nor made twice
    "a guard taken": (
        PICK,
        write_up(
            "given: lamp on",
            "tool: ring pliers\ntakes off: ring",
            "fits: ring\nmakes: shaft guarded",
            "ends: shaft guarded",
        ),
        [("demand-not-met", "a", "shaft guarded", {})],
    ),
    # "no safety message of that signal word or a graver one"
    "no message": (
        RING,
        write_up("", "takes off: ring", "fits: ring"),
        [("demand-no-caution", "a", "Flying  Ring", {})],
    ),
    "graver will do": (RING, write_up("", said("danger", "A FLYING ring!"), "fits: ring"), []),
    "the word itself": (
        RING,
        write_up("", said("warning", "Mind", "The flying ring hits."), "fits: ring"),
        [],
    ),
    "less grave will not": (
        RING,
        write_up("", said("caution", "Flying ring"), "fits: ring"),
        [("demand-no-caution", "a", "Flying  Ring", {})],
    ),
    # "whose title or hazard line has the words": not its other lines, not the text of the step
    "not in the harm": (
        RING,
        write_up("", said("warning", "Mind"), "fits: ring"),
        [("demand-no-caution", "a", "Flying  Ring", {})],
    ),
    # "side by side, whole words in any case"
    "not side by side": (
        RING,
        write_up("", said("warning", "Flying steel ring"), "fits: ring"),
        [("demand-no-caution", "a", "Flying  Ring", {})],
    ),
    "not whole": (
        RING,
        write_up("", said("warning", "Flying rings"), "fits: ring"),
        [("demand-no-caution", "a", "Flying  Ring", {})],
    ),
    # "It shows in the combinations that reach the step"
    "message for some forks": (
        RING,
        write_up(
            TWO,
            "only if: bumper = none; ring = prong\ntakes off: ring",
            "only if: bumper = none; ring = prong\nfits: ring",
        ),
        [("demand-no-caution", "a", "Flying  Ring", {"ring": "prong", "bumper": "none"})],
    ),
    "no fork, no message": (
        RING,
        write_up(
            "variants: {a: [b]}\nnever: a = b",
            "only if: a = b\ntakes off: ring",
            "only if: a = b\nfits: ring",
        ),
        [("step-never-applies", "a", "a", {}), ("step-never-applies", "b", "b", {})],
    ),
}


@for_each(BY_HAND)
def test_each_clause_is_found_by_the_second_implementation(case: str) -> None:
    rules, files, expected = BY_HAND[case]
    found = [
        (row["code"], row["step"], row["about"], row["variant"]) for row in judge(files, rules)
    ]
    assert sorted(found, key=str) == sorted(expected, key=str)


@pytest.mark.parametrize("case", BY_HAND)
def test_each_clause_is_found_by_the_command(case: str, tmp_path: Path) -> None:
    rules, files, _ = BY_HAND[case]
    assert differences(files, rules, tmp_path) == []


def test_the_message_says_why_and_the_line_is_that_of_the_first_value_that_met_when() -> None:
    (text,) = write_up(
        "given: lamp on",
        "takes off: cap\ntakes off: ring\ntool: rag\ntool: ring pliers",
        "fits: cap; ring",
    ).values()
    (found,) = rehearse(parse(text), read_rules(PICK))
    assert found.line == text.split("\n").index("takes off: ring") + 1
    assert "pliers slip" in say(found.remark)
    assert found.level == "error"
    (text,) = write_up("", "takes off: ring", "fits: ring").values()
    (found,) = rehearse(parse(text), read_rules(RING))
    assert found.line == text.split("\n").index("takes off: ring") + 1
    assert "a squeezed ring flies" in say(found.remark)
    assert "WARNING" in say(found.remark)


def test_an_order_that_breaks_a_demand_is_wrong_and_one_that_a_state_undoes_too() -> None:
    # Up before oil before down: of the six orders only that one has the feet up when the oil goes
    # in and down at the end.
    (text,) = write_up(
        "given: feet down\nleaves: feet down",
        "makes: feet up",
        "uses: bath oil 10 mL",
        "makes: feet down",
    ).values()
    writeup, rules = parse(text), read_rules(OIL)
    right = [order for order in permutations("abc") if is_right_order(writeup, rules, {}, order)]
    assert right == [("a", "b", "c")]
    assert right_orders(writeup, rules, {}, ["a", "b", "c"]) == 1
