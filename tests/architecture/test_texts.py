"""Does every text of a template go through gettext, so that the site could speak another
language?
"""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEMPLATES = sorted(
    path for app in ("procedures", "quizzes", "training") for path in (ROOT / app).rglob("*.html")
)

WRAPPED = re.compile(r"{% (blocktranslate|comment)\b.*?{% end\1 %}", re.DOTALL)
OURS = re.compile(r"{#.*?#}|{%.*?%}|{{.*?}}", re.DOTALL)
NOT_WORDS = re.compile(r"<(script|style|code|svg|pre)\b.*?</\1>|<!--.*?-->", re.DOTALL)
SPOKEN = re.compile(r'\b(?:aria-label|title|alt|placeholder)="([^"]*)"')
TAG = re.compile(r"<[^<>]*>", re.DOTALL)
WORD = re.compile(r"[A-Za-z]+")
NAMES = {"Benchright"}


def bare_texts(template):
    """The words of a template that no translate tag holds: those between tags, and those of spoken
    attributes.
    """
    left = OURS.sub(" ", WRAPPED.sub(" ", template))
    spoken = SPOKEN.findall(left)
    between = re.sub(r"&#?\w+;", " ", TAG.sub("\n", NOT_WORDS.sub(" ", left)))
    return [
        text.strip() for text in (*between.split("\n"), *spoken) if set(WORD.findall(text)) - NAMES
    ]


def test_every_text_goes_through_gettext():
    assert len(TEMPLATES) > 200
    assert [
        (path, bare) for path in TEMPLATES for bare in bare_texts(path.read_text(encoding="utf-8"))
    ] == []


@pytest.mark.parametrize(
    ("template", "found"),
    [
        ("<p>Sign out</p>", ["Sign out"]),
        ('<a aria-label="Main">{{ name }}</a>', ["Main"]),
        ('<p>{% translate "Sign out" %} {{ one }}</p>', []),
        ("{% blocktranslate trimmed %}Until {{ day }}{% endblocktranslate %}", []),
        ("<p>{% if a %}{{ a }} of{% endif %}</p>", ["of"]),
    ],
)
def test_a_bare_text_is_found(template, found):
    assert bare_texts(template) == found
