"""Is each sentence of the site plain trade English, with one word for one thing?

The lists are those of the house's words: how a sentence begins, what a button is called, and the
word that is not used because another one is. `python -m tests.architecture.sentences` prints all
sentences for reading aloud, which no list replaces.
"""

import re

import pytest

from tests.architecture.sentences import Sentence, sentences

# The word that is not used: what to say in its place.
NOT_OURS = {
    r"\btrades?\b(?! English)": "role",
    r"\bat work here\b": "employed here",
    r"\bfounding\b": "first sign-off by the owner",
    r"\blift(s|ed)?\b": "allow again",
    r"\b[Dd]ays of grace\b": "days to catch up after a new revision",
    r"\b[Ii]n practice\b": "stays current",
    r"\bheld first\b|\bHeld first\b": "needs … first",
    r"\bthen holds\b": "now true",
    r"\babout to be forgotten\b": "practice questions",
    r"\bodds\b": "chance of passing",
    r"\bpieces? of advice\b": "suggestion",
    r"\bmoves no standing\b": "does not change what you may do",
    r"\bUpper less lower\b": "best quarter minus weakest quarter",
}


@pytest.fixture(scope="module")
def all_sentences():
    found = sentences()
    assert len(found) > 1500  # else the reader of sentences reads nothing
    return found


def told(found: list[tuple[Sentence, str]]) -> str:
    return "\n".join(f"{one.file}:{one.line}: {one.text} -> {say}" for one, say in found)


@pytest.mark.parametrize("word", NOT_OURS)
def test_one_thing_has_one_word(all_sentences, word):
    pattern = re.compile(word)
    found = [(one, NOT_OURS[word]) for one in all_sentences if pattern.search(prose(one.text))]
    assert not found, told(found)


def prose(text: str) -> str:
    """A sentence without the names of what is put into it."""
    return re.sub(r"\{\w+\}", "…", text)
