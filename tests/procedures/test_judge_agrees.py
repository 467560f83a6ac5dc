"""Does the command find what a second reading of the language's document finds, walking every
combination by itself?

Source of the expectations: the document of the write-up language, read once more by `judge.py`
without the product's code; the write-ups are invented by `grow.py`. The small cases below are
worked by hand from the sentence above each.
"""

from pathlib import Path

import pytest

from tests.for_each import for_each
from tests.procedures.grow import grow
from tests.procedures.judge import differences, judge

CODES = """
need-not-met never-made opens-unsafe unknown-danger part-not-on part-already-on
part-was-scrapped old-part-still-there part-left-off part-not-replaced guard-left made-twice
ends-nothing out-of-order leaves-not-met follows-not-met unknown-option step-never-applies
variant-changes-nothing caution-after-action opens-without-caution bad-header bad-field
bad-amount duplicate-id demand-not-met demand-no-caution
"""

RULES = """
safe: {air chamber: air let out}
temporary: [shaft guarded]
same: [[air let out, depressurised], [depressurised, no pressure], [seal, wiper]]
"""
TWO = "variants: {ring: [eyelet, prong], bumper: [fitted, none]}"
WARNED = '\n\n!!! warning "Air"\n    hazard: Air.\n'


def write_up(header: str, *steps: str) -> dict[str, str]:
    """A write-up from its header and its steps' fields; the steps are called a, b, c …"""
    told = [
        f"### Step {name} {{#{name}}}\n{fields}\n"
        for name, fields in zip("abcdefgh", steps, strict=False)
    ]
    return {"demo.md": "\n".join(["---", "title: Demo", header, "---", "## Work", "", *told])}


BY_HAND = {
    # "Inside a step the order is by field, whatever the order of the lines: … needs, … makes"
    "need before make": (
        write_up("", "makes: dry\nneeds: dry"),
        [("need-not-met", "a", "dry", {})],
    ),
    # "a fact found missing is taken as given from there on"
    "missing once": (
        write_up("", "needs: dry", "needs: Dry", "makes: dry"),
        [("need-not-met", "a", "dry", {})],
    ),
    # "`ends` clears (also a fact that was only taken as given)"
    "missing again": (
        write_up("", "needs: dry", "ends: dry", "needs: dry", "makes: dry"),
        [("need-not-met", "a", "dry", {}), ("need-not-met", "c", "dry", {})],
    ),
    # "`opens` is satisfied by it only where it was `opens` that found it missing"
    "opens asks for itself": (
        write_up(
            "",
            "needs: air let out",
            "opens: air chamber" + WARNED,
            "opens: air chamber" + WARNED,
            "makes: air let out",
        ),
        [("need-not-met", "a", "air let out", {}), ("opens-unsafe", "b", "air chamber", {})],
    ),
    # "Groups under `same` in the rules join when they share a name and reach facts and parts"
    "same joins": (
        write_up(
            "",
            "makes: no pressure",
            "opens: air chamber" + WARNED,
            "takes off: seal",
            "fits: wiper",
        ),
        [],
    ),
    # "after a finding the part is where the step puts it"
    "no cascade": (
        write_up("", "takes off: cap", "takes off: cap", "fits: cap"),
        [("part-not-on", "b", "cap", {})],
    ),
    # "… `takes off`, `scraps`, `fits`, `fits new`, `ends`, `makes`"
    "all in one step": (write_up("", "fits new: cap\nscraps: cap\ntakes off: cap"), []),
    "end before make": (
        write_up("", "makes: shaft guarded", "makes: shaft guarded\nends: shaft guarded"),
        [("guard-left", None, "shaft guarded", {})],
    ),
    # "… and `leaves` does not name it"
    "guard stays": (write_up("leaves: Shaft  Guarded", "makes: shaft guarded"), []),
    # "it then satisfies `needs`, `ends` and `leaves`, but never counts as a guard left on or as
    # made twice"
    "guard taken as given": (
        write_up(
            "leaves: [warm]",
            "needs: shaft guarded; warm",
            "makes: shaft guarded",
            "ends: shaft guarded",
        ),
        [("need-not-met", "a", "shaft guarded", {}), ("never-made", "a", "warm", {})],
    ),
    # "`fits new` … off → on for a part under `off:` that has not been moved yet"
    "new for off": (write_up("off: cap", "fits new: cap"), []),
    "new after a move": (
        write_up("off: cap", "fits: cap", "takes off: cap", "fits new: cap"),
        [("old-part-still-there", "c", "cap", {})],
    ),
    # "`scraps` on or off → scrapped", "at the end a part is scrapped"
    "thrown away": (
        write_up("", "takes off: cap", "scraps: cap"),
        [("part-not-replaced", None, "cap", {})],
    ),
    # "at the end a temporary fact still holds and `leaves` does not name it"; bumper = fitted shows
    # it too, but "ties: number all options down the header, the lowest sorted list wins"
    "guard": (
        write_up(
            TWO,
            "makes: shaft guarded",
            "only if: ring = eyelet; bumper = none\nends: shaft guarded",
        ),
        [("guard-left", None, "shaft guarded", {"ring": "prong"})],
    ),
    # "the smallest set of options such that every combination that agrees with it shows the
    # finding"
    "two options": (
        write_up(
            TWO,
            "takes off: cap",
            "only if: ring = prong; bumper = none\nfits: cap",
            "only if: ring = eyelet\nfits: cap",
        ),
        [("part-left-off", None, "cap", {"ring": "prong", "bumper": "fitted"})],
    ),
    # "All combinations count but those under `never`"
    "never": (
        write_up(
            TWO + "\nnever: [ring = prong; bumper = fitted]",
            "takes off: cap",
            "only if: ring = prong; bumper = none\nfits: cap",
            "only if: ring = eyelet\nfits: cap",
        ),
        [],
    ),
    # "a step named under `after` applies and has not been done, or names no step, or itself"
    "after": (
        write_up(
            TWO, "after: b; z; a", "only if: ring = prong; bumper = none\nhold: yes", "after: b"
        ),
        [
            ("out-of-order", "a", "a", {}),
            ("out-of-order", "a", "b", {"ring": "prong", "bumper": "none"}),
            ("out-of-order", "a", "z", {}),
        ],
    ),
    # "such an option never holds"; "no combination reaches the step (and it has no
    # `unknown-option`)"
    "never applies": (
        write_up(
            TWO,
            "only if: ring = eyelet; ring = prong; bumper = none",
            "only if: tube = steel\nneeds: dry",
        ),
        [("step-never-applies", "a", "a", {}), ("unknown-option", "b", "tube", {})],
    ),
}


def test_every_code_of_the_table_grows_and_clean_write_ups_and_findings_of_two_options_too() -> (
    None
):
    rows = [judge(*grow(seed)) for seed in range(1, 301)]
    assert {row["code"] for found in rows for row in found} == set(CODES.split())
    assert any(not found for found in rows)
    assert any(len(row["variant"]) >= 2 for found in rows for row in found)


@for_each(BY_HAND)
def test_the_judge_finds_what_is_worked_by_hand(case: str) -> None:
    files, expected = BY_HAND[case]
    found = [
        (row["code"], row["step"], row["about"], row["variant"]) for row in judge(files, RULES)
    ]
    assert found == expected


@pytest.mark.parametrize("case", BY_HAND)
def test_the_command_finds_what_is_worked_by_hand(case: str, tmp_path: Path) -> None:
    files, _ = BY_HAND[case]
    assert differences(files, RULES, tmp_path) == []


@pytest.mark.parametrize("seed", range(1, 61))
def test_the_command_and_the_judge_agree(seed: int, tmp_path: Path) -> None:
    assert differences(*grow(seed), tmp_path) == []
