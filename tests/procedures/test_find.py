"""Does somebody find words in all write-ups, and only what the current revisions say?

No source outside: the write-ups are those of the tests; what must be found is counted by hand in the text above each check.
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
SHOP = {"air-spring": parse(ONE), "other": parse("---\ntitle: Other\n---\n## A\n\n### Wipe {#wipe}\n\nWipe the ring.\n")}


def places(asked):
    return [(hit.name, hit.step) for hit in find(asked, SHOP)]


def test_every_word_must_be_there_in_text_caution_tool_or_part():
    assert places("ring") == [("air-spring", "seat-ring"), ("air-spring", ""), ("air-spring", "oil-foam"), ("other", "wipe")]
    assert places("ring oil") == [("air-spring", "oil-foam")]
    assert places("pliers") == [("air-spring", "seat-ring")]
    assert places("RING click") == [("air-spring", "seat-ring")]
    assert places("ping") == []
    assert places("") == places(" .,; ") == []


def test_the_words_found_are_marked_and_nothing_else():
    (hit,) = find("drip", SHOP)
    assert [text for text, is_word in hit.pieces if is_word] == ["Drip"]


@given(st.text(max_size=80))
def test_whatever_is_asked_only_places_with_every_word_come(asked):
    for hit in find(asked, SHOP):
        assert hit.name in SHOP
    assert len(words_of(asked)) <= 8


@pytest.mark.parametrize("asked", ["ring", "eyelet", "<script>alert(1)</script>", "(((", "\\", "%00"])
def test_the_page_answers_whatever_is_asked(client, trainee, asked):
    client.force_login(trainee, backend="training.sign_in.ShopBackend")
    page = client.get("/write-ups/find/", {"words": asked})
    assert page.status_code == 200
    assert "<script>alert" not in page.text
