"""Does every regular expression of the site take a time that grows with the text, and not with its
square?

Each is tried on texts made of what it looks for itself, repeated without end, in the ways in which
the site looks with it.
"""

import re
from collections import deque

import pytest

from tests.hostile import patterns
from tests.hostile.growing import of, too_fast_growing

LENGTH = 500
ENDS = ("", "!x\x00")

# A pattern that is put together inside a function: where, and one such pattern as it comes out. A
# new one has to be named here.
MADE = {
    ("procedures/writeup/search.py", "find"): r"\babc\w*|\bab\w*",
    ("procedures/writeup/search.py", "_in"): r"\babc",
    ("procedures/writeup/demands.py", "is_said"): r"(?<!\w)a\s+a\s+b(?!\w)",
    ("procedures/writeup/proof/lists.py", "words_are_explained"): r"\bWARNING\b",
    ("quizzes/reports/showing.py", "render_html"): "0" * 64 + r"x(\d+)x",
    # What these make stands in the tables of their modules, where it is found.
    ("procedures/writeup/proof/clauses.py", "pattern_of_act"): "",
    ("procedures/writeup/proof/clauses.py", "pattern_of_carrying"): "",
    ("procedures/writeup/proof/hazards.py", "_words"): "",
    ("procedures/writeup/proof/protections.py", "_protection"): "",
    ("quizzes/marking/beliefs.py", "_belief"): "",
}

# Looked with through a name of a loop, always from the beginning of a line.
IN_LOOPS = {
    key: {"match"}
    for key in ("TABLE", "PICTURE", "HEADING", "_STEP", "_NUMBER", "_DOTTED", "_LETTER", "_BULLET")
}


def cases():
    """Each pattern with a way in which the site looks with it."""
    used = IN_LOOPS | {
        name: ways | IN_LOOPS.get(name, set()) for name, ways in patterns.uses().items()
    }
    for where, pattern in sorted(patterns.compiled().items()):
        in_table = "[" in where
        name = re.sub(r"\[[^\]]*\]", "", where).rpartition(".")[2]
        ways = used.get(name) or {"search"} if in_table else used.get(name, set())
        for way in sorted(ways or {"search"}):
            yield where, way, pattern
    for file, function, call in patterns.in_functions():
        given = patterns.literal(call)
        if given:
            yield (
                f"{file}:{function}",
                patterns.way(call.func.attr if call.func.attr != "compile" else "search"),
                re.compile(given),
            )
    for (file, function), made in MADE.items():
        if made:
            yield f"{file}:{function}", "search", re.compile(made, re.IGNORECASE)


def test_a_pattern_made_inside_a_function_is_named_here():
    found = {
        (file, function)
        for file, function, call in patterns.in_functions()
        if not patterns.literal(call)
    }
    assert found == set(MADE)


def look_everywhere(pattern):
    return lambda text: deque(pattern.finditer(text), maxlen=0)


def find_growing(where, way, pattern):
    """The first text on which looking so takes too long; nothing where there is none."""
    looks = {
        "search": look_everywhere(pattern),
        "match": pattern.match,
        "fullmatch": pattern.fullmatch,
    }
    for lead, unit in dict.fromkeys(patterns.seeds(pattern)):
        for end in ENDS:
            found = too_fast_growing(looks[way], of(unit, lead, end), LENGTH)
            if found:
                return [f"{where} on {lead!r} + {unit!r} again and again + {end!r}: {found}"]
    return []


def test_a_pattern_takes_a_time_that_grows_with_the_text():
    looked = list(cases())
    assert len(looked) > 300
    assert [fault for case in looked for fault in find_growing(*case)] == []


@pytest.mark.parametrize("slow", [r"\s*x", r"(.*?)[ \t]*#*$", r"[^.?!]*\?", r"a\s*(?:b)?\s*$"])
def test_a_slow_pattern_is_found(slow):
    pattern = re.compile(slow)
    assert any(
        too_fast_growing(look_everywhere(pattern), of(unit, lead, end), LENGTH, sure=0)
        for lead, unit in patterns.seeds(pattern)
        for end in ENDS
    )
