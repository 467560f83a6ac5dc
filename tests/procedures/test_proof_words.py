"""Are words, sentences and reading grades counted as the published rules say?"""

import pytest

from procedures.writeup.proof.counting import count_words, find_bracketed
from procedures.writeup.proof.readability import (
    count_syllables,
    ease,
    years_for_text,
    years_of_school,
)
from procedures.writeup.proof.sentences import split

# The counting rules of ASD-STE100 8.4 to 8.7, with the worked examples of the shop's list of
# writing rules (section 8).
EXAMPLES = [
    ("Make sure that the valve core is out of the valve (the pin is visible).", 12, (4,)),
    ("Tighten the foot bolt (3) to 7 N·m.", 7, (1,)),
    ("Tighten the foot bolt to 7 N·m (62 in-lbf).", 7, (1,)),
    ("Put on the eye protection.", 5, ()),
    (
        "Push the valve pin slowly with the core tool until no more air comes out of the valve.",
        18,
        (),
    ),
    ("Put the back-up ring on the low-pressure side of the X-ring.", 11, ()),
    (
        "If the cap does not turn freely by hand after the first quarter turn, stop and "
        "release the air again.",
        20,
        (),
    ),
    (
        "Remove the top cap and then pull the air shaft out of the stanchion while you hold "
        "the seal head with your other hand so that it does not fall.",
        30,
        (),
    ),
    ("Do not point the valve at your face.", 8, ()),
]


@pytest.mark.parametrize(("sentence", "outer", "inner"), EXAMPLES)
def test_words_are_counted_as_in_the_worked_examples(sentence, outer, inner):
    assert (count_words(sentence), tuple(map(count_words, find_bracketed(sentence)))) == (
        outer,
        inner,
    )


def test_the_reading_grade_has_its_published_value():
    """Flesch-Kincaid: 13 words, 1 sentence, 24 syllables give grade 11.3 (11.2646): published
    worked example.
    """
    assert years_of_school(words=13, sentences=1, syllables=24) == pytest.approx(11.2646, abs=5e-5)


def test_the_reading_ease_has_its_published_values():
    """Flesch: the same example gives 37.5 (37.4554); one-syllable words in one-word sentences give
    121.22, the easiest.
    """
    assert ease(words=13, sentences=1, syllables=24) == pytest.approx(37.4554, abs=5e-5)
    assert ease(words=1, sentences=1, syllables=1) == pytest.approx(121.22, abs=5e-3)


def test_a_short_text_has_no_grade():
    assert years_for_text(split([(1, "Turn the cap. " * 20)])) is None
    assert years_for_text(split([(1, "Turn the cap. " * 40)])) is not None


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("cap", 1),
        ("valve", 1),
        ("pressure", 2),
        ("remove", 2),
        ("the", 1),
        ("needle", 2),
        ("eye", 1),
    ],
)
def test_syllables_are_counted_by_groups_of_vowels(word, expected):
    """From memory, common dictionaries."""
    assert count_syllables(word) == expected


def test_a_colon_before_a_list_and_a_mark_of_end_before_a_capital_end_a_sentence():
    assert [one.text for one in split([(1, "Do one of these: ")])] == ["Do one of these:"]
    assert [
        one.text for one in split([(1, "Fill 2.5 mL. Wait. Look at the oil, e.g. its colour.")])
    ] == ["Fill 2.5 mL.", "Wait.", "Look at the oil, e.g. its colour."]
