"""Does the catalogue of each app word just what its pure code can say, with the arguments that it
is given, and has the pure code no sentence of its own?
"""

import ast
import inspect
import re
from collections import defaultdict
from functools import cache
from itertools import pairwise

import pytest
from django.utils.functional import Promise

from procedures.records.wording import faults, proof, proof_rules, rehearsal
from procedures.records.wording import say as procedures_say
from procedures.writeup.amounts import UNITS
from procedures.writeup.proof.catalogue import CATALOGUE as PROOF_RULES
from procedures.writeup.proof.hazards import TRIGGERS
from procedures.writeup.proof.protections import PROTECTIONS
from procedures.writeup.proof.words import HAZARDS
from quizzes.kinds.rehearsed import ORDER_TOLD_WITH
from quizzes.records.wording import advice as quizzes_advice
from quizzes.records.wording import say as quizzes_say
from tests.architecture.documents import ROOT

# Findings of the rehearsal that are told with nothing but what they are about.
ABOUT_ONLY = (
    "need-not-met",
    "never-made",
    "unknown-danger",
    "part-not-on",
    "part-already-on",
    "part-was-scrapped",
    "old-part-still-there",
    "part-left-off",
    "part-not-replaced",
    "guard-left",
    "made-twice",
    "ends-nothing",
    "out-of-order",
    "leaves-not-met",
)
CATALOGUES = {"procedures": procedures_say.CATALOGUE, "quizzes": quizzes_say.OWN}
PURE = {
    "procedures": ("writeup", "rehearsal", "pictures", "records/documents"),
    "quizzes": ("kinds", "marking", "psychometrics", "memory"),
}
# What an author writes into a text, or what a draft of a question puts there, is a text of the
# shop, in its own language; it is not said by the site.
TEXTS_OF_THE_SHOP = {
    "procedures/writeup/pieces.py",
    "procedures/writeup/old_text.py",
    "procedures/writeup/demo_values.py",  # the words that a text itself carries
    "procedures/records/documents/draft.py",
    "quizzes/marking/drafts.py",
    "quizzes/marking/beliefs.py",
}


def sources(app, rooms=("",), calling=""):
    """The modules as trees; with `calling` only those in which that name is called at all."""
    for room in rooms:
        for path in sorted((ROOT / app / room).rglob("*.py")):
            text = path.read_text(encoding="utf-8")
            if "migrations" not in path.parts and (not calling or f"{calling}(" in text):
                yield path, ast.parse(text)


def is_call_of(name, node):
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name


@cache
def remarks_of(app):
    """The arguments with which each code is given, by the calls of `remark` in an app."""
    found = defaultdict(set)
    # What comes in from a folder is refused in the words of the write-ups.
    apps = (app, "training") if app == "procedures" else (app,)
    for path, tree in (each for one in apps for each in sources(one, calling="remark")):
        for node in ast.walk(tree):
            if is_call_of("remark", node):
                (code,) = node.args
                assert isinstance(code, ast.Constant), f"{path}: the code is written out"
                found[code.value].add(frozenset(each.arg for each in node.keywords))
    if app == "procedures":
        for code in ABOUT_ONLY:
            found[code].add(frozenset({"about"}))
    else:
        for code, args in ORDER_TOLD_WITH.items():
            found[f"order-{code}"].add(frozenset(args))
    return found


class Probe(int):
    """An argument of a sentence that knows whether it was written."""

    def __new__(cls, name, seen):
        made = super().__new__(cls, 2)
        made.name, made.seen = name, seen
        return made

    def __format__(self, spec):
        self.seen.add(self.name)
        return "2"


def asked_by(words, args):
    """The arguments that a sentence is made from; `args` are those that it is given."""
    if not isinstance(words, str | Promise):
        return frozenset(inspect.signature(words).parameters)
    seen = set()
    words.format(**{name: Probe(name, seen) for name in args})
    # `ngettext` asks for the number also where the one form does not write it
    return frozenset(seen) | ({"count"} & args)


@pytest.mark.parametrize("app", sorted(CATALOGUES))
def test_the_catalogue_words_each_code_that_the_code_gives_and_no_other(app):
    assert set(remarks_of(app)) == set(CATALOGUES[app])


@pytest.mark.parametrize("app", sorted(CATALOGUES))
def test_each_sentence_is_made_from_just_the_arguments_that_it_is_given(app):
    wrong = {
        code: (sorted(args), sorted(asked_by(CATALOGUES[app][code], args)))
        for code, given in remarks_of(app).items()
        for args in given
        if asked_by(CATALOGUES[app][code], args) != args
    }
    assert not wrong


def test_no_code_of_the_questions_is_one_of_the_write_ups():
    assert not set(procedures_say.CATALOGUE) & set(quizzes_say.OWN)


def test_every_name_of_the_pure_code_that_a_sentence_uses_has_its_word():
    assert {kind for _, kind, _ in UNITS.values()} == set(faults.KINDS)
    assert {each.name for each in PROTECTIONS} == set(proof.PROTECTIONS)
    assert {each.hazard for each in TRIGGERS} | set(HAZARDS) == set(proof.HAZARDS)
    assert set(PROOF_RULES) == set(proof_rules.RULES)


def test_every_rule_of_advice_has_its_guideline():
    rules = {
        node.args[0].value
        for _, tree in sources("quizzes", ("marking",), calling="Advice")
        for node in ast.walk(tree)
        if is_call_of("Advice", node) and node.keywords == []
        if isinstance(node.args[0], ast.Constant)
    }
    of_kinds = {"one-right-of-all", "easy-match"}
    assert rules | of_kinds == set(quizzes_advice.GUIDELINES)


def raises_pythons_own(node):
    raised = node.exc if isinstance(node, ast.Raise) else None
    return isinstance(raised, ast.Call) and ast.unparse(raised.func) in ("ValueError", "TypeError")


def sentences_in(tree):
    """The texts of a module that read as a sentence, but docstrings and what is said to
    programmers by an exception of Python's own.
    """
    spared = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        body = body if isinstance(body, list) else []
        for child in body:
            if isinstance(child, ast.Expr) or raises_pythons_own(child):  # a docstring
                spared |= set(ast.walk(child))
        for child, then in pairwise(body):
            if raises_pythons_own(then) and ast.unparse(child).startswith("message = "):
                spared |= set(ast.walk(child))
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) else None
        if node not in spared and isinstance(text, str) and SENTENCE.search(text):
            yield node.lineno, text


SENTENCE = re.compile(r"[a-z]{2,},? [a-z“`]+[^|]*[.…](?:$|\s+[A-Z“])")


def test_a_sentence_is_known_when_it_is_seen():
    said = 'told = "Two options say the same."\nraise ValueError("No such step applies here.")'
    assert [line for line, _ in sentences_in(ast.parse(said))] == [1]


@pytest.mark.parametrize("app", sorted(PURE))
def test_the_pure_code_has_no_sentence_for_people(app):
    found = [
        f"{path.relative_to(ROOT)}:{line}: {text}"
        for path, tree in sources(app, PURE[app])
        if str(path.relative_to(ROOT)) not in TEXTS_OF_THE_SHOP
        for line, text in sentences_in(tree)
    ]
    assert not found


def test_the_worked_words_of_a_rehearsal_are_those_of_its_codes():
    assert {code for code in rehearsal.REHEARSAL if code in ABOUT_ONLY} == set(ABOUT_ONLY)
