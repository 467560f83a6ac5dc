"""Does each of the demo shop's rules speak when what it asks for is taken out of a write-up?

What the rules ask for is common practice of the trade, no source; each demand is tried by itself on
the first step of the demo write-ups that it is about: first as the write-up stands (silent), then
without whatever makes the fact, or without the message.
"""

import re
from dataclasses import replace

from procedures.records.wording.say import say
from procedures.rehearsal.walk import rehearse
from procedures.writeup.demands import find_first_met
from procedures.writeup.names import make_plain
from procedures.writeup.parse import parse
from procedures.writeup.rules import Meanings, read_rules
from tests.for_each import for_each
from tests.procedures.judge import judge
from tests.procedures.planted import RULES as TEXT
from tests.procedures.planted import library

RULES = read_rules(TEXT)
KEY = Meanings(RULES.same).key
PARSED = {name: parse(text) for name, text in library().items()}
FACTS = [(number, fact) for number, demand in enumerate(RULES.demands) for fact in demand.needs]
MESSAGES = [number for number, demand in enumerate(RULES.demands) if demand.names]


def first_step(demand):
    """The write-up and the step that the demand is about, the first in the order of the names."""
    for name, writeup in PARSED.items():
        for step in writeup.steps:
            if find_first_met(demand, step, KEY) is not None:
                return name, step
    raise AssertionError(f"No step of the demo write-ups is of the kind {demand.when}.")


def told(name, writeup, demand):
    """What the rehearsal says of this write-up by the rules with this one demand."""
    others = {other: its for other, its in PARSED.items() if other != name}
    return [
        found
        for found in rehearse(writeup, replace(RULES, demands=(demand,)), others=others)
        if found.code.startswith("demand")
    ]


def without_fact(text, fact):
    """The text in which nothing gives, needs or makes the fact."""

    def cut(line):
        key, _colon, rest = line.partition(":")
        if key in ("makes", "needs"):
            kept = [value for value in rest.split(";") if KEY(value) != KEY(fact)]
            return f"{key}:{';'.join(kept)}" if kept else None
        if key == "given":
            kept = [value for value in rest.strip(" []").split(",") if KEY(value) != KEY(fact)]
            return f"given: [{','.join(kept)}]"
        return line

    return "\n".join(line for line in map(cut, text.split("\n")) if line is not None)


def without_message(text, step, names):
    """The text without the safety messages of the step that say these words."""
    lines = text.split("\n")
    for caution in reversed(step.cautions):
        if re.search(rf"\b{make_plain(names)}\b", make_plain(f"{caution.title} {caution.hazard}")):
            end = caution.line
            while lines[end].startswith("    "):
                end += 1
            del lines[caution.line - 1 : end]
    return "\n".join(lines)


def test_the_shop_has_learnt_at_least_twenty_five_things_and_says_why():
    assert len(RULES.demands) >= 25
    assert all(len(demand.because.split()) >= 3 for demand in RULES.demands)
    assert len({demand.because for demand in RULES.demands}) == len(RULES.demands)


@for_each(FACTS)
def test_a_rule_speaks_when_nothing_makes_what_it_needs(number, fact):
    demand = RULES.demands[number]
    name, step = first_step(demand)
    assert told(name, PARSED[name], demand) == []
    (found,) = [
        each
        for each in told(name, parse(without_fact(library()[name], fact)), demand)
        if each.step == step.id
    ]
    assert (found.code, found.about) == ("demand-not-met", fact)
    assert demand.because in say(found.remark)


@for_each(MESSAGES)
def test_a_rule_speaks_when_its_message_is_taken_out(number):
    demand = RULES.demands[number]
    name, step = first_step(demand)
    assert told(name, PARSED[name], demand) == []
    (found,) = [
        each
        for each in told(name, parse(without_message(library()[name], step, demand.names)), demand)
        if each.step == step.id
    ]
    assert (found.code, found.about) == ("demand-no-caution", demand.names)
    assert demand.because in say(found.remark)


def test_turning_the_fork_the_wrong_way_is_found_by_its_state():
    """The feet are up for the oil; a step that turns the fork down in between undoes that, though
    “feet up” was made before.
    """
    text = library()["lower-leg-service"]
    spoilt = text.replace(
        "### Oil the damper leg {#oil-damper-leg}\n",
        "### Turn it {#turn-it}\nmakes: feet down\n\nTurn it.\n\n### Oil the damper leg "
        "{#oil-damper-leg}\n",
    )
    assert spoilt != text
    found = rehearse(
        parse(spoilt),
        RULES,
        others={name: its for name, its in PARSED.items() if name != "lower-leg-service"},
    )
    assert [(each.code, each.step, each.about) for each in found] == [
        ("demand-not-met", "oil-damper-leg", "feet up")
    ]


def of_the_fork_on_its_bike(before, planted):
    """What the rehearsal says of the fork's write-up with this step planted before another one."""
    text = library()["fork-off-and-on"]
    spoilt = text.replace(
        f"### {before}", f"### Planted {{#planted}}\n{planted}\n\nGo.\n\n### {before}"
    )
    assert spoilt != text
    others = {name: its for name, its in PARSED.items() if name != "fork-off-and-on"}
    found = rehearse(parse(spoilt), RULES, others=others)
    return [(each.code, each.step, each.about) for each in found]


def test_a_stem_that_is_clamped_before_its_preload_is_found_by_its_state():
    planted = "needs: stem on\nends: stem loose"
    assert of_the_fork_on_its_bike("Set the preload", planted) == [
        ("need-not-met", "set-preload", "stem loose")
    ]
    clamped = of_the_fork_on_its_bike("Set the preload", "makes: stem tight")
    assert ("need-not-met", "set-preload", "stem loose") in clamped


def test_grease_on_the_gloves_before_the_brake_is_found():
    planted = "ends: clean gloves on"
    assert of_the_fork_on_its_bike("Hang the calliper on", planted) == [
        ("demand-not-met", "hang-calliper-on", "clean gloves on")
    ]


def test_the_second_implementation_finds_the_demo_write_ups_clean_too():
    assert judge({f"{name}.md": text for name, text in library().items()}, TEXT) == []
