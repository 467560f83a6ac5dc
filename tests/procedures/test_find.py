"""Does somebody find words in all write-ups, and only what the current revisions say?

No source outside: the write-ups are those of the tests; what must be found is counted by hand in
the text above each check.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.parse import parse
from procedures.writeup.search import find, words_of

ONE = """---
title: Air spring
---
For forks with a quad ring.

## Work

### Seat the ring {#seat-ring}
tool: ring pliers

Push the ring until it clicks.

### Oil the foam {#oil-foam}
uses: suspension oil 1 mL

!!! notice "Too much oil"
    hazard: Oil above the ring drowns it.

Drip the oil on.
"""
SHOP = {
    "air-spring": parse(ONE),
    "other": parse("---\ntitle: Other\n---\n## A\n\n### Wipe {#wipe}\n\nWipe the ring.\n"),
}


def places(asked):
    return [(hit.name, hit.step) for hit in find(asked, SHOP)]


def test_every_word_must_be_there_in_text_caution_tool_or_part():
    assert places("ring") == [
        ("air-spring", "seat-ring"),
        ("air-spring", ""),
        ("air-spring", "oil-foam"),
        ("other", "wipe"),
    ]
    assert places("ring oil") == [("air-spring", "oil-foam")]
    assert places("pliers") == [("air-spring", "seat-ring")]
    assert places("RING click") == [("air-spring", "seat-ring")]
    assert places("ping") == []
    assert places("") == places(" .,; ") == []


def test_the_words_found_are_marked_and_nothing_else():
    (hit,) = find("drip", SHOP)
    assert [text for text, is_word in hit.pieces if is_word] == ["Drip"]


# The words of each place, read off the texts above by eye: title, text, caution, tool and
# consumable, without the signs.
WORDS = {
    ("air-spring", ""): "air spring for forks with a quad ring",
    ("air-spring", "seat-ring"): "seat the ring ring pliers push the ring until it clicks",
    (
        "air-spring",
        "oil-foam",
    ): "oil the foam suspension oil notice too much oil oil above the ring drowns it drip the "
    "oil on",
    ("other", ""): "other",
    ("other", "wipe"): "wipe the ring wipe the ring",
}
BEGINNINGS = sorted(
    {word[:size] for words in WORDS.values() for word in words.split() for size in (1, 3, 20)}
)


@given(st.lists(st.sampled_from([*BEGINNINGS, "zzz"]), min_size=1, max_size=3))
def test_exactly_the_places_come_in_which_every_word_begins_one(asked):
    expected = {
        place
        for place, words in WORDS.items()
        if all(any(w.startswith(a) for w in words.split()) for a in asked)
    }
    assert set(places(" ".join(asked))) == expected


def test_more_than_eight_words_are_not_looked_for():
    assert len(words_of("a b c d e f g h i j")) == 8


@pytest.mark.parametrize(
    "asked", ["ring", "eyelet", "<script>alert(1)</script>", "(((", "\\", "%00"]
)
def test_the_page_answers_whatever_is_asked(client, trainee, asked):
    client.force_login(trainee, backend="training.access.sign_in.ShopBackend")
    page = client.get("/write-ups/find/", {"words": asked})
    assert page.status_code == 200
    assert "<script>alert" not in page.text
