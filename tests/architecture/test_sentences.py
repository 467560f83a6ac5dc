"""Is each sentence of the site plain trade English, with one word for one thing?

The lists are those of the house's words: how a sentence begins, what a button is called, and the
word that is not used because another one is. `python -m tests.architecture.sentences` prints all
sentences for reading aloud, which no list replaces.
"""

import re

import pytest

from tests.architecture.sentences import Sentence, sentences

# The first words of a sentence that nobody says aloud.
OPENINGS = re.compile(r"^(Right is|Wrong is|It moves|What stands here|So many)\b")
# A button that says nothing of what it does.
BUTTONS = {"Keep", "Keep it", "Ask", "Look", "Show", "Write it down", "Look at it", "Do it", "OK"}
# The word that is not used: what to say in its place.
NOT_OURS = {
    r"\btrades?\b(?! English)": "role",
    r"\bis alone\b|\bwas alone\b|\bnot alone\b|\bthose alone\b": "may work alone",
    r"\bwatched job": "supervised job",
    r"\bat work here\b": "employed here",
    r"\blapses?\b": "signed off until, or: runs out",
    r"\bfalls? (without|within|due)\b": "short on, or: runs out",
    r"\bfounding\b": "first sign-off by the owner",
    r"\bdeclared? (an? \w+ )?void\b|\b[Vv]oids?\b": "cancel a wrong entry",
    r"\blift(s|ed)?\b": "allow again",
    r"\b[Dd]ays of grace\b": "days to catch up after a new revision",
    r"\b[Ii]n practice\b": "stays current",
    r"\bheld first\b|\bHeld first\b": "needs … first",
    r"\bnothing is said about\b": "any fork, any shock",
    r"\bthen holds\b": "now true",
    r"\babout to be forgotten\b": "practice questions",
    r"\bodds\b": "chance of passing",
    r"\bleans?\b": "who you depend on most",
    r"\bpieces? of advice\b": "suggestion",
    r"\b[Hh]ead of the (record )?book\b|, head\b": "check code of the record book",
    r"\bper cent\b|\bpercent\b": "%",
    r"\bmoves no standing\b": "does not change what you may do",
    r"\bperson-days\b": "days short",
    r"\bUpper less lower\b": "best quarter minus weakest quarter",
    # Found when the whole list was read aloud.
    r"\bwork(s|ed)? by (it|this|a write-up|the revision)\b": "work from",
    r"\bin force\b": "current",
    r"\bwatchers?\b|\bwatching mechanic\b": "the mechanic who watched",
    r"\bwrit(e|ten) (a job |the job |it )?down\b": "log a job, record, or: save",
    r"\bstands? (twice|here|there|beside|elsewhere|in the (text|header))\b": "is",
    r"\bdoes not hold\b|\b(still|must) hold\b": "is not true, must be true, or: failed its check",
    r"(?<!there )\bis no (day|key|number|name)\b": "is not a",
}


@pytest.fixture(scope="module")
def all_sentences():
    found = sentences()
    assert len(found) > 1500  # else the reader of sentences reads nothing
    return found


def told(found: list[tuple[Sentence, str]]) -> str:
    return "\n".join(f"{one.file}:{one.line}: {one.text} -> {say}" for one, say in found)


def test_no_sentence_begins_as_nobody_speaks(all_sentences):
    found = [(one, "say it anew") for one in all_sentences if OPENINGS.search(one.text)]
    assert not found, told(found)


def test_no_button_is_a_bare_verb(all_sentences):
    found = [(one, "a verb with its object") for one in all_sentences if one.text in BUTTONS]
    assert not found, told(found)


def test_no_sentence_is_the_rest_of_another_one(all_sentences):
    """A text that begins with a comma or a full stop is glued to what stands before it."""
    found = [(one, "a whole sentence") for one in all_sentences if re.match(r"[,;.:·]", one.text)]
    assert not found, told(found)


@pytest.mark.parametrize("word", NOT_OURS)
def test_one_thing_has_one_word(all_sentences, word):
    pattern = re.compile(word)
    found = [(one, NOT_OURS[word]) for one in all_sentences if pattern.search(prose(one.text))]
    assert not found, told(found)


def test_a_number_before_a_word_is_counted(all_sentences):
    """“1 jobs” is what a site says that glues a number to a word."""
    glued = re.compile(r"\{\w+\} (days|jobs|people|months|questions|steps|weeks|minutes)\b")
    found = [
        (one, "ngettext, or blocktranslate count")
        for one in all_sentences
        if glued.search(one.text) and not one.is_counted
    ]
    assert not found, told(found)


def prose(text: str) -> str:
    """A sentence without the names of what is put into it."""
    return re.sub(r"\{\w+\}", "…", text)
