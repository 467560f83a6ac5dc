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
    "procedures": {"Asks", "ShopRules", "WriteUp"},
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


def type_named_by(node):
    """The name of a class, or of a type that is written out (`Limits = tuple[…]`); a TypeVar is a
    matter of its module alone.
    """
    if isinstance(node, ast.ClassDef):
        return node.name
    if isinstance(node, (ast.Assign, ast.AnnAssign)):
        target = node.target if isinstance(node, ast.AnnAssign) else node.targets[0]
        made_by = getattr(getattr(node.value, "func", None), "id", "")
        if isinstance(target, ast.Name) and made_by != "TypeVar" and not target.id.isupper():
            return target.id if target.id[0].isupper() else ""
    return ""


def homes_of_types(app):
    """The modules in which each public type at the top of a module is written, by its name."""
    homes = defaultdict(list)
    for path in sorted((ROOT / app).rglob("*.py")):
        if not {"migrations", "commands"} & set(path.parts):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if (name := type_named_by(node)) and not name.startswith("_"):
                    homes[name].append(str(path.relative_to(ROOT / app)))
    return homes


@pytest.mark.parametrize("app", sorted(ROW_AND_PLAIN))
def test_two_types_of_one_name_are_a_row_and_its_plain_values(app):
    twice = {name: homes for name, homes in homes_of_types(app).items() if len(homes) > 1}
    assert twice.keys() == ROW_AND_PLAIN[app], twice
    for name, homes in twice.items():
        assert [home.startswith("models/") for home in homes].count(True) == 1, (name, homes)
        assert len(homes) == 2, (name, homes)


def listed(text):
    return frozenset(text.split())


# What does something begins with one of these.
VERBS = listed(
    """
    accept add advise answer appoint as ask back begin bring catch change check choose clean
    collect compare confirm convert copy count cross cut decide decode derive describe draw drop
    encode end explain fetch fill find fit follow forget gather give group hash insert issue
    join judge keep leave lift line list load lock make mark mix move name note open pack parse part
    pick place pour prepare proof prove put quote rank read recall record refuse rehearse release
    remember render renew replace reset restore save say seal send serve set show sign sort
    split stand start stop strip study sum sweep sync take tell turn understand unpack use
    verify warn watch weigh withdraw work write
    """
)
# A question is answered by yes or no.
ASKS = listed(
    """
    agrees asks blocks closes counts covers fails follows has holds is lies looks may must needs
    opens reaches supports touches
    """
)
# What gives a thing, and does nothing else, may be named by the thing: the last of these words
# stands before any preposition (`steps_to_read_again`, `revision_for`, `missed_steps`).
THINGS = listed(
    """
    ability address addresses album alpha amount answers appointment appointments asking asks
    authority backup banks beliefs block boards book box break breaks bundles calendar candidate
    card cards cell cells certificate certificates chance chances changes chart clock code codes
    column columns combination combinations commands components confirmation context count counts
    cover credential curve curves database day days deciders decision delivery device diff
    difficulties digest dot draft drafts drawing drawings ease effect end ends entries entry
    events evidence factor factors facts fault faults field fields figures file finding findings
    fingerprint flags folder fork front gaps grid ground half hash head heading hidden hindrance
    hindrances
    hours html id ids impact injury instant instants interval job jobs journal kappa key keys
    kinds label lapses left letters level levels library limits line lines link links list lists
    map mark marks message misfits mode moment moments month months name names network newest now
    number numbers observation observations observers occasions odds off offs options order
    orders page pairs pass passed path paths pattern people percent permissions person photos
    picture pictures piece place plan port problems program programs proof proxies question
    questions quiz quizzes rating reader reasons recall record region remark reminder renewal
    rest result reviews revision revisions rings rota round rounds row rows rules seals secret
    sentences sessions shape share sheet sheets shelf shifts shop showings signer signoff site
    sitting skeleton source sources spans spot spread spreads standdown standdowns standing
    standings state stem step steps stretches table tag tasks text texts thing ticket title
    titles today trouble units values variants version void voids wait wanted watchers ways
    weekday weeks window wish wishes word words writeup writeups yardstick years zip zone
    """
)
PREPOSITIONS = listed(
    """
    about after against alone as at before beside between by for from in into like named of on
    or out that to under with without
    """
)
# Names that a science, a library or the product itself has given (`who` asks, on every page), and
# those that an older step in a migration calls.
GIVEN = listed(
    """
    ac1 angoff gettext_noop multikey nominal one_of ordinal who who_may wilson worth_knowing
    """
)
OF_MIGRATIONS = listed(
    """
    sealed before_migrations after_migrations not_reserved
    """
)


# Beside words in -ed and -ing, these say something of the thing before them.
SAID_OF = listed(
    """
    aside back broken done held known late meant overdue read right said seen set shown since
    soon told
    """
)


def is_said_of(word):
    return word in SAID_OF or word.endswith(("ed", "ing"))


def says_its_thing(name):
    """Whether a name begins with a verb, asks yes or no, or is that of a thing."""
    first, *_ = words = name.split("_")
    if first in VERBS | ASKS or name in GIVEN | OF_MIGRATIONS:
        return True
    before = list(takewhile(lambda word: word not in PREPOSITIONS, words))
    # what is said of a thing may follow it: `voids_waiting`, `values_typed`
    while len(before) > 1 and before[-1] not in THINGS and is_said_of(before[-1]):
        before.pop()
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


@pytest.mark.parametrize("app", sorted(ROW_AND_PLAIN))
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
