"""Is every link of the record book sound, and is the first bad one found?"""

import hashlib
import json
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.for_each import for_each
from training.records.book.canonical import write_canonical
from training.records.book.chain import START, breaks, link

WHEN = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)

# RFC 8785, section 3.2.3 (sorting of keys by UTF-16 code units) and appendix B (numbers), as
# printed there.
RFC_8785_SORTED = (
    {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    },
    [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ],
)
RFC_8785_NUMBERS = [
    (0.0, "0"),
    (-0.0, "0"),
    (5e-324, "5e-324"),
    (1.7976931348623157e308, "1.7976931348623157e+308"),
    (9007199254740992.0, "9007199254740992"),
    (295147905179352830000.0, "295147905179352830000"),
    (1e21, "1e+21"),
    (1e23, "1e+23"),
    (333333333.3333332, "333333333.3333332"),
    (0.000001, "0.000001"),
    (1e-7, "1e-7"),
    (-0.0000033333333333333333, "-0.0000033333333333333333"),
]


def test_keys_are_sorted_as_in_rfc_8785():
    value, expected = RFC_8785_SORTED
    assert list(json.loads(write_canonical(value)).values()) == expected


@for_each(RFC_8785_NUMBERS)
def test_numbers_are_written_as_in_rfc_8785(number, text):
    assert write_canonical(number) == text.encode()


def test_the_rfc_8785_sample_document():
    # RFC 8785, section 3.2.2 and 3.2.4: the sample input and its canonical bytes.
    sample = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"\u002f",
        "literals": [None, True, False],
    }
    expected = (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )
    assert write_canonical(sample) == expected.encode()


def test_an_instant_is_the_same_in_every_time_zone():
    elsewhere = WHEN.astimezone(timezone(timedelta(hours=5, minutes=30)))
    assert write_canonical(elsewhere) == write_canonical(WHEN) == b'"2026-11-25T09:30:00.000000Z"'


def test_days_and_decimals_are_plain_text():
    assert (
        write_canonical([date(2026, 2, 28), Decimal("85.00"), Decimal(100)])
        == b'["2026-02-28","85","100"]'
    )


@pytest.mark.parametrize("value", [datetime(2026, 1, 1), {1, 2}, float("nan"), 2**60])  # noqa: DTZ001
def test_what_json_cannot_hold_is_refused(value):
    with pytest.raises(ValueError, match=r"instant|canonical"):
        write_canonical(value)


def chain_of(bodies):
    links, previous = [], START
    for number, body in enumerate(bodies, 1):
        made = link(
            number=number, kind="job", row=number, written_at=WHEN, body=body, previous=previous
        )
        links.append(made)
        previous = made.digest
    return links


def test_a_stranger_can_compute_a_digest_with_hashlib_alone():
    made = chain_of([{"b": 1, "a": "x"}])[0]
    text = (
        '{"body":{"a":"x","b":1},"kind":"job","number":1,"previous":"'
        + "0" * 64
        + '","row":1,"written_at":"2026-11-25T09:30:00.000000Z"}'
    )
    assert made.digest == hashlib.sha256(text.encode()).hexdigest()


@given(st.lists(st.dictionaries(st.text(), st.integers(-1000, 1000)), max_size=8))
def test_a_chain_as_written_is_whole(bodies):
    assert list(breaks(chain_of(bodies))) == []


@given(st.lists(st.integers(0, 9), min_size=2, max_size=8), st.data())
def test_an_entry_dropped_inside_is_found_where_it_is_missing(bodies, data):
    links = chain_of(bodies)
    gone = data.draw(st.integers(0, len(links) - 2))
    assert next(breaks(links[:gone] + links[gone + 1 :])).number == gone + 2


@given(st.lists(st.integers(0, 9), min_size=1, max_size=8), st.data())
def test_a_changed_body_is_found_at_its_entry(bodies, data):
    links = chain_of(bodies)
    at = data.draw(st.integers(0, len(links) - 1))
    old = links[at]
    changed = type(old)(
        old.number, old.kind, old.row, old.written_at, "10", old.previous, old.digest
    )
    found = list(breaks([*links[:at], changed, *links[at + 1 :]]))
    assert [broken.number for broken in found] == [at + 1]


@given(st.lists(st.integers(0, 9), min_size=2, max_size=8), st.data())
def test_two_entries_swapped_are_found(bodies, data):
    links = chain_of(bodies)
    at = data.draw(st.integers(0, len(links) - 2))
    links[at], links[at + 1] = links[at + 1], links[at]
    assert next(breaks(links)).number == at + 2


def made_anew(entry, **columns):
    """The entry with other columns and a digest of its own that fits them: what somebody does who
    knows how.
    """
    given = {
        "number": entry.number,
        "kind": entry.kind,
        "row": entry.row,
        "written_at": entry.written_at,
        "previous": entry.previous,
    }
    return link(**(given | {"body": json.loads(entry.body)} | columns))


@pytest.mark.parametrize(
    "columns",
    [
        {"body": "another"},
        {"kind": "void"},
        {"row": 99},
        {"written_at": WHEN + timedelta(seconds=1)},
        {"previous": "f" * 64},
    ],
)
def test_an_entry_written_anew_with_a_digest_that_fits_it_is_found_by_the_next_or_by_itself(
    columns,
):
    links = chain_of(["a", "b", "c", "d"])
    links[1] = made_anew(links[1], **columns)
    found = [broken.number for broken in breaks(links)]
    assert 3 in found
    assert (2 in found) == ("previous" in columns)


def test_a_chain_follows_from_what_lies_before_it():
    links = chain_of(["a", "b", "c"])
    assert list(breaks(links[1:], 2, links[0].digest, WHEN)) == []
    assert [
        (one.number, "does not follow" in one.problem) for one in breaks(links[1:], 2, "f" * 64)
    ] == [(2, True)]
    assert [
        (one.number, "is missing" in one.problem) for one in breaks(links[1:], 3, links[0].digest)
    ] == [(2, True)]
    assert [
        (one.number, "earlier instant" in one.problem)
        for one in breaks(links[1:], 2, links[0].digest, WHEN + timedelta(1))
    ] == [(2, True)]


def test_the_first_entry_follows_from_nothing():
    first = link(number=1, kind="job", row=1, written_at=WHEN, body="a", previous="f" * 64)
    assert [broken.number for broken in breaks([first])] == [1]
