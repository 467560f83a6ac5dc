"""Does a name mean one thing inside an app?"""

import ast
from collections import defaultdict
from itertools import takewhile
from pathlib import Path

import pytest

from procedures.writeup.proof.proofing import CHECKS

ROOT = Path(__file__).parents[2]

# A kept row and the same thing as plain values, which the pure rooms work with
ROW_AND_PLAIN = {
    "procedures": {"ShopRules", "WriteUp"},
    "training": {
        "Appointment",
        "Job",
        "LevelRules",
        "Observation",
        "Reading",
        "Rota",
        "SignOff",
        "StandDown",
        "Void",
    },
    "quizzes": set(),
}


def homes_of_classes(app):
    """The modules in which each public class at the top of a module is written, by its name."""
    homes = defaultdict(list)
    for path in sorted((ROOT / app).rglob("*.py")):
        if not {"migrations", "commands"} & set(path.parts):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                    homes[node.name].append(str(path.relative_to(ROOT / app)))
    return homes


@pytest.mark.parametrize("app", sorted(ROW_AND_PLAIN))
def test_two_classes_of_one_name_are_a_row_and_its_plain_values(app):
    twice = {name: homes for name, homes in homes_of_classes(app).items() if len(homes) > 1}
    assert twice.keys() == ROW_AND_PLAIN[app], twice
    for name, homes in twice.items():
        assert [home.startswith("models/") for home in homes].count(True) == 1, (name, homes)
        assert len(homes) == 2, (name, homes)


def listed(text):
    return frozenset(text.split())


# What does something begins with one of these.
VERBS = listed(
    """
    accept add advise answer ask bring check clean compare confirm convert count cross cut
    derive draw drop end fetch fill find fit give group insert join judge keep list load make
    mark mix move open pack parse part pick place proof put quote rank read recall record refuse
    rehearse release remember render replace save say seal send set show sort split start strip
    study sum take tell unpack weigh withdraw work write
    """
)
# A question is answered by yes or no.
ASKS = listed(
    """
    agrees blocks is lies must opens touches
    """
)
# What gives a thing, and does nothing else, may be named by the thing: the last of these words
# stands before any preposition (`steps_to_read_again`, `revision_for`, `missed_steps`).
THINGS = listed(
    """
    ability album alpha amount banks beliefs book box candidate cells chance chances chart clock
    combination combinations commands context curve curves day diff difficulties digest dot
    draft drafts drawings ease effect end ends entries factors fault faults figures finding
    findings flags fork gaps half heading hidden hindrance html ids impact injury interval kappa
    key kinds label level library line lines links lists map marks message misfits moment
    moments month name names now number odds options order orders page pairs path pattern
    percent picture pictures place problems question quiz rating reader recall remark rest
    result reviews revision revisions round rounds row rows rules seals sentences shape share
    sitting skeleton source sources spot spread spreads stem step steps stretches table tag text
    texts titles units values version ways weekday word words writeup writeups years zone
    """
)
PREPOSITIONS = listed(
    """
    about after alone at before beside by for from in into named of on or that to with without
    """
)
# Names that a science has given, and those that an older step in a migration calls.
GIVEN = listed(
    """
    ac1 angoff nominal ordinal wilson
    """
)
OF_MIGRATIONS = listed(
    """
    sealed before_migrations after_migrations not_reserved
    """
)


def says_its_thing(name):
    """Whether a name begins with a verb, asks yes or no, or is that of a thing."""
    first, *_ = words = name.split("_")
    if first in VERBS | ASKS or name in GIVEN | OF_MIGRATIONS:
        return True
    before = list(takewhile(lambda word: word not in PREPOSITIONS, words))
    return bool(before) and before[-1] in THINGS


def functions_of(app):
    """The public functions at the top of each module; a view is named as its address, and a check
    of the proofing as what it holds.
    """
    for path in sorted((ROOT / app).rglob("*.py")):
        if {"migrations", "views"} & set(path.parts):
            continue
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield f"{path.relative_to(ROOT)}: {node.name}", node.name


CHECKS_OF_PROOFING = frozenset(check.__name__ for check in CHECKS)


@pytest.mark.parametrize("app", ["procedures", "quizzes"])
def test_a_function_begins_with_a_verb_or_is_named_by_the_thing_that_it_gives(app):
    wrong = [
        where
        for where, name in functions_of(app)
        if name not in CHECKS_OF_PROOFING and not says_its_thing(name)
    ]
    assert not wrong


def test_a_name_that_says_neither_is_found():
    told = ["told", "asked_by", "of_step", "shown", "in_short", "tell_result", "revision_for"]
    assert [says_its_thing(name) for name in told] == [False] * 5 + [True] * 2
