"""Does a rehearsal of all forks at once say the same as one rehearsal for each fork?"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.rehearsal.cases import TooManyCases
from procedures.rehearsal.variants import agrees, combinations, steps_for
from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules
from tests.procedures.told import RULES, text

HEADER = (
    "variants: {ring: [eyelet, prong], bumper: [fitted, none, cut]}\nnever: [ring = prong; bumper "
    "= none | cut, ring = eyelet; bumper = cut]\n"
)
CONDITIONS = [
    "ring = eyelet",
    "ring = prong",
    "bumper = none",
    "bumper = fitted | none",
    "ring = prong; bumper = fitted",
    "bumper = cut",
]
FIELDS = [
    "needs: x",
    "makes: x",
    "ends: x",
    "makes: shaft guarded",
    "ends: shaft guarded",
    "needs: y",
    "takes off: cap",
    "fits: cap",
    "scraps: cap",
    "fits new: cap",
    "fits new: ring",
    "after: s1",
    "after: s3",
    "makes: air let out",
    "opens: air chamber",
]
steps = st.lists(
    st.tuples(st.sampled_from([*CONDITIONS, ""]), st.lists(st.sampled_from(FIELDS), max_size=3)),
    min_size=1,
    max_size=7,
)


def body(chosen):
    return "".join(
        f"### S {{#s{number}}}\n"
        + (f"only if: {when}\n" if when else "")
        + "".join(f"{each}\n" for each in fields)
        + '\n!!! danger "D"\n    h\n\n'
        for number, (when, fields) in enumerate(chosen)
    )


def walked(findings):
    """The errors of the walk; never-made is one for the fact, so its step may differ from fork to
    fork.
    """
    out = ("step-never-applies", "unknown-option", "bad-header")
    return {
        (found.code, None if found.code == "never-made" else found.step, found.about)
        for found in findings
        if found.level == "error" and found.code not in out
    }


def shows(finding, combination):
    return all(combination[variant] == option for variant, option in finding.variant.items())


@given(
    steps,
    st.sampled_from(
        ["", "off: ring\n", "given: [x, shaft guarded]\nleaves: [x]\nleaves off: cap\n"]
    ),
)
def test_all_forks_at_once_agree_with_each_fork_alone(chosen, start):
    rules = read_rules(RULES)
    writeup = parse(text(body(chosen), HEADER + start))
    together = rehearse(writeup, rules)
    alone = {}
    for combination in combinations(writeup):
        one = tuple(
            replace(variant, options=(combination[variant.name],)) for variant in writeup.variants
        )
        alone[tuple(combination.items())] = walked(
            rehearse(replace(writeup, variants=one, never=()), rules)
        )
    assert walked(together) == set().union(*alone.values())
    for finding in together:
        for combination, errors in alone.items():
            if finding.code not in ("step-never-applies", "variant-changes-nothing") and shows(
                finding, dict(combination)
            ):
                assert walked([finding]) <= errors


@given(steps)
def test_a_variant_that_no_step_asks_for_changes_no_other_finding(chosen):
    rules = read_rules(RULES)
    without = rehearse(parse(text(body(chosen), HEADER)), rules)
    header = HEADER.replace("variants: {", "variants: {colour: [red, blue], ")
    found = [
        each
        for each in rehearse(parse(text(body(chosen), header)), rules)
        if each.about != "colour"
    ]
    assert found == list(without)


def test_combinations_leave_out_what_no_fork_has():
    assert combinations(parse(text("", HEADER))) == (
        {"ring": "eyelet", "bumper": "fitted"},
        {"ring": "eyelet", "bumper": "none"},
        {"ring": "prong", "bumper": "fitted"},
    )


def test_without_variants_there_is_one_combination():
    assert combinations(parse(text(""))) == ({},)


def test_a_list_of_too_many_combinations_is_refused():
    header = f"variants: {{{', '.join(f'v{number}: [a, b]' for number in range(17))}}}\n"
    with pytest.raises(TooManyCases):
        combinations(parse(text("", header)))


def test_the_steps_for_a_fork_are_those_whose_conditions_hold():
    writeup = parse(
        text(
            "### A\nonly if: ring = eyelet | prong; bumper = none\n### B\nonly if: Ring = "
            "PRONG\n### C\n",
            HEADER,
        )
    )
    assert [step.id for step in steps_for(writeup, {"ring": "eyelet", "bumper": "none"})] == [
        "a",
        "c",
    ]
    assert [step.id for step in steps_for(writeup, {"RING": "prong", "bumper": "fitted"})] == [
        "b",
        "c",
    ]
    assert not agrees(writeup.steps[0].only_if, {"ring": "eyelet"})
