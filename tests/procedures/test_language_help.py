"""Has every word of the write-up language its help, and an example that rehearses clean?"""

from procedures.rehearsal.walk import rehearse
from procedures.views.forms.language import HEAD_WORDS, STEP_WORDS
from procedures.writeup.grammar import HEADER, KEYS
from procedures.writeup.parse import parse
from procedures.writeup.pieces import EXAMPLE, FIELDS, HEADS
from procedures.writeup.rules import read_rules

RULES = read_rules("safe: {air chamber: air let out}\ntemporary: [shaft guarded]\n")
BEFORE = "---\ntitle: Before\ngiven: [fork in the stand, shaft guarded]\noff: [air shaft]\n" + (
    "leaves: [fork in the stand, shaft guarded]\nleaves off: [air shaft]\n---\n### Wait\n\nWait.\n"
)
# What a brought file says of its release stands in the row, and nobody types it.
NOT_TYPED = {"released", "released_at", "asks"}


def test_every_word_has_its_help_and_stands_in_the_example_as_the_help_shows_it():
    assert {piece.label for piece in FIELDS} == KEYS
    assert {piece.label for piece in HEADS} == HEADER - NOT_TYPED
    # The form asks for each of them, in words of its own.
    assert (set(STEP_WORDS), set(HEAD_WORDS)) == (KEYS, HEADER - NOT_TYPED)
    assert all(label and help_ for label, help_ in (*STEP_WORDS.values(), *HEAD_WORDS.values()))
    for piece in (*FIELDS, *HEADS):
        assert piece.help
        assert piece.text.replace(": \n", ":\n") in EXAMPLE
    read = parse(EXAMPLE)
    assert not read.faults
    others = {"release-the-air": parse(BEFORE)}
    assert rehearse(read, RULES, others=others) == ()
