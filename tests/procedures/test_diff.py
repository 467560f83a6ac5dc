"""What changed between two texts, and does each change ask at least what the rules say?

The ladder (nothing, read again, answer again, show again) is the shop's own rule; which change
stands on which rung is common practice, no source. That applying a word diff gives the new text is
what a diff is.
"""

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from procedures.writeup.asks import rank
from procedures.writeup.diff import HEADER, compare
from procedures.writeup.parse import parse
from procedures.writeup.word_diff import turning_words, values_in, word_diff
from tests.for_each import for_each
from tests.procedures.factories import TEXT
from tests.procedures.grow import grow

OLD = TEXT.format(title="Air spring")

words = st.lists(
    st.sampled_from(
        ["turn", "the", "cap", "left", "by", "half", "a", "ring", "28", "N·m\n", "and\n\n", "not"]
    ),
    max_size=14,
).map(" ".join)
modest = settings(max_examples=50)


def steps_changed(old, new):
    """The ids of the steps that changed in more than their wording, came, went or moved."""
    found = compare(old, new).changes
    return {change.key for change in found if change.key != HEADER and not change.is_wording}


def changed(*swaps, text=OLD):
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    return text


def compared(*swaps):
    return compare(parse(OLD), parse(changed(*swaps)))


def asked(*swaps):
    return compared(*swaps).asks


# --- words


@modest
@given(words, words)
def test_a_word_diff_leads_from_the_one_text_to_the_other(old, new):
    pieces = word_diff(old, new)
    if old.split() == new.split():
        assert pieces == ()
        return
    assert "".join(piece.text for piece in pieces if piece.mark != "gone") == new
    assert "".join(piece.text for piece in pieces if piece.mark != "new").split() == old.split()
    assert all(one.mark != other.mark for one, other in pairwise(pieces))


def test_texts_too_long_to_line_up_are_still_told():
    old = " ".join(f"a{number}" for number in range(2100))
    new = " ".join(f"b{number}" for number in range(2100))
    assert [piece.mark for piece in word_diff(f"turn {old} now", f"turn {new} now")] == [
        "same",
        "gone",
        "new",
        "same",
    ]


@pytest.mark.parametrize(
    ("one", "other"),
    [("28 Nm", "28 N·m"), ("2,5 bar", "2.50 bar"), ("28 N·m is right", "right is 28 N·m")],
)
def test_values_are_the_same_however_they_are_written(one, other):
    assert values_in(one) == values_in(other) != ()


@pytest.mark.parametrize(
    ("one", "other"),
    [("28 N·m", "28 in·lbf"), ("-5 °C", "5 °C"), ("half a turn", "a turn"), ("2 turns", "3 turns")],
)
def test_other_values_differ(one, other):
    assert values_in(one) != values_in(other)


def test_words_that_turn_the_sense_round_are_seen():
    assert turning_words("Do not turn it left before it is dry.") == ("not", "left", "before")
    assert turning_words("Don’t.") == ("n't",)


# --- what a change asks


@for_each(
    [
        (("What this is for.", "What this is good for."), "nothing"),
        (("Squeeze the ring.\n", "Squeeze the ring with your hand.\n"), "nothing"),
        (("### Squeeze the ring", "### Squeeze that ring"), "nothing"),
        (("needs: depressurised", "needs: Depressurised"), "nothing"),
        (("Walk the ring out", "Do not walk the ring out"), "read again"),
        (("Keep your face out", "Keep your face well out"), "read again"),
        (("A part can fly out.", "A part flies out."), "read again"),
        (
            (
                "Press the valve core until the hiss stops.",
                "Press the valve core until the hissing stops.",
            ),
            "read again",
        ),
        (("tool: shock pump", "tool: shock pump\nhold: yes"), "show again"),
        (("ends: shaft guarded\n", "ends: shaft guarded\ntool: gloves\n"), "read again"),
        (("by a quarter turn", "by half a turn"), "answer again"),
        (("needs: depressurised", "needs: shaft guarded"), "answer again"),
        (("only if: ring = prong", "only if: ring = prong | eyelet"), "answer again"),
        (("opens: air chamber", "opens: air chamber\ntorque: 28 N·m"), "answer again"),
        (('warning "Trapped air"', 'danger "Trapped air"'), "answer again"),
        (("interval: 200 h", "interval: 100 h"), "answer again"),
        (("ring: [eyelet, prong]", "ring: [eyelet, prong, coil]"), "answer again"),
        (("tool: shock pump", "tool: other pump"), "show again"),
        (("makes: air let out", "makes: air let out; fork quiet"), "show again"),
        (
            ("Keep your face away from the valve.", "Press the valve core with the tool."),
            "show again",
        ),
        (('warning "Air under', 'danger "Air under'), "show again"),
        (
            ("ends: shaft guarded", "critical: the guard scratches\nends: shaft guarded"),
            "show again",
        ),
        (("critical: a cap under pressure can blind\n", ""), "read again"),
        (("critical: a cap under pressure can blind", "critical: a cap can blind"), "read again"),
    ]
)
def test_what_a_change_asks(swap, asks):
    assert asked(swap) == asks


def without(text, key):
    """The text without one step."""
    head, _, rest = text.partition(f"### {key}")
    return head + rest[rest.index("\n### ") + 1 :] if "\n### " in rest else head


def test_a_new_a_dropped_and_a_moved_step():
    new = compared(
        (
            "### Take the guard off",
            "### Wipe the shaft {#wipe}\n\nWipe the shaft.\n\n### Take the guard off",
        )
    )
    assert [(one.key, one.state, one.asks) for one in new.changes] == [
        ("wipe", "new", "answer again")
    ]
    gone = compare(parse(OLD), parse(without(OLD, "Squeeze the ring")))
    assert [(one.key, one.state, one.asks, one.old_number) for one in gone.changes] == [
        ("squeeze-ring", "gone", "answer again", 4)
    ]
    critical = compare(parse(OLD), parse(without(OLD, "Let the air out")))
    assert critical.of("let-air-out").asks == "show again"


def in_order(keys, critical=""):
    parts = [
        f"### Do {key} "
        f"{{#{key}}}\n{'critical: it blinds' if key in critical else 'tool: hand'}\n\nDo "
        f"{key}.\n"
        for key in keys
    ]
    return parse("---\ntitle: T\n---\n" + "\n".join(parts))


def test_of_an_order_the_fewest_steps_are_told_as_moved():
    found = compare(in_order("abcde"), in_order("bcdea")).changes
    assert [(one.key, one.is_moved, one.asks) for one in found] == [("a", True, "answer again")]


def test_a_step_that_passes_a_critical_one_is_shown_again():
    assert compare(in_order("abc", "b"), in_order("bac", "b")).asks == "show again"
    assert compare(in_order("abc", "b"), in_order("acb", "b")).asks == "show again"
    assert compare(in_order("abcd", "d"), in_order("bacd", "d")).asks == "answer again"


@given(st.permutations("abcdef"))
@modest
def test_as_many_steps_stay_as_the_longest_run_that_both_orders_share(order):
    """Against trying every subset: the longest common subsequence of two orders."""
    longest = max(
        size
        for size in range(7)
        for run in combinations("abcdef", size)
        if [key for key in order if key in run] == list(run)
    )
    moved = [one for one in compare(in_order("abcdef"), in_order(order)).changes if one.is_moved]
    assert 6 - len(moved) == longest


def test_a_new_caution_does_not_make_the_others_look_changed():
    more = (
        '!!! warning "Cold air"\n    hazard: It is cold.\n    harm: It burns.\n    avoid: '
        'Wait.\n\n!!! warning "Trapped air"'
    )
    (change,) = compared(('!!! warning "Trapped air"', more)).changes
    assert {field.label.partition(",")[0] for field in change.fields} == {"caution “Cold air”"}


def test_what_stands_around_the_steps_is_one_change():
    (change,) = compared(
        ("title: Air spring", "title: Air springs"), ("What this is for.", "For what this is.")
    ).changes
    assert (change.key, change.asks, len(change.fields)) == (HEADER, "nothing", 2)
    assert steps_changed(parse(OLD), parse(changed(("What this is for.", "Why.")))) == set()


def test_steps_changed_leaves_out_what_is_wording_only():
    new = changed(
        ("Squeeze the ring.\n", "Squeeze it.\n"),
        ("by a quarter turn", "by half a turn"),
        ("until the hiss stops", "until the hissing stops"),
        ("### Walk the ring {#walk-ring}", "### Walk the ring {#walk}"),
    )
    assert steps_changed(parse(OLD), parse(new)) == {"open-chamber", "walk-ring", "walk"}


# --- what always holds


@modest
@given(st.integers(0, 10_000))
def test_a_text_beside_itself_has_not_changed(seed):
    for text in grow(seed)[0].values():
        assert compare(parse(text), parse(text)).changes == ()
        assert steps_changed(parse(text), parse(text)) == set()


SWAPS = [
    ("What this is for.", "What it is for."),
    ("tool: shock pump", "tool: pump"),
    ("by a quarter turn", "by half a turn"),
    ("Squeeze the ring.\n", "Squeeze that ring.\n"),
    ("Walk the ring out of", "Never walk the ring out of"),
    ("makes: shaft guarded", "makes: shaft guarded; bench clean"),
    ("interval: 200 h", "interval: 50 h"),
    ("It can blind.", "It blinds."),
    ("Keep your face away from the valve.", "Press the core again."),
    ("ends: shaft guarded", "ends: shaft guarded\ncritical: it scratches"),
    ("A cap let go under", "A cap under"),
    ("Take the guard off.\n", "Take off the guard.\n"),
    ("opens: air chamber", "opens: air chamber\nmeasure: sag 20..30 %"),
]


@modest
@given(st.permutations(SWAPS), st.integers(1, len(SWAPS)))
def test_the_suggestion_never_falls_when_a_further_change_is_added(swaps, many):
    fewer, more = (asked(*swaps[:number]) for number in (many - 1, many))
    assert rank(more) >= rank(fewer)


def test_a_change_is_named_by_what_it_says():
    one, other = (
        compared(("by a quarter turn", words)).of("open-chamber")
        for words in ("by half a turn", "by one turn")
    )
    again = compared(
        ("by a quarter turn", "by half a turn"), ("interval: 200 h", "interval: 50 h")
    ).of("open-chamber")
    assert one.digest == again.digest != other.digest
