"""Does the rehearsal find what is wrong with facts, parts and dangers, and nothing else?

Every expectation is reasoned by hand from the rules of the write-up language: one text that has the
fault, one that just has not.
"""

import pytest

from tests.for_each import for_each
from tests.procedures.told import RING, RULES, WARNING, findings, text, told

SAFE = "### Let out\nmakes: air let out\n"


def only(body, header=""):
    """The one finding, as (code, step, about)."""
    (one,) = told(body, header)
    return one[:3]


@for_each(
    [
        ("### A\nneeds: x\n### B\nmakes: x\n", "", ("need-not-met", "a", "x")),
        ("### A\nneeds: x\n### B\nneeds: X\n", "", ("never-made", "a", "x")),
        ("### A\nends: x\n", "", ("ends-nothing", "a", "x")),
        (
            f"### A\nopens: Air chamber\n{WARNING}### B\nmakes: air let out\n",
            "",
            ("opens-unsafe", "a", "Air chamber"),
        ),
        (f"### A\nopens: oil bath\n{WARNING}", "", ("unknown-danger", "a", "oil bath")),
        (f"{SAFE}### A\nopens: air chamber\n", "", ("opens-without-caution", "a", "air chamber")),
        (
            "### A\ntakes off: cap\n### B\ntakes off: cap\n### C\nfits: cap\n",
            "",
            ("part-not-on", "b", "cap"),
        ),
        (
            "### A\nscraps: cap\n### B\nscraps: cap\n### C\nfits new: cap\n",
            "",
            ("part-not-on", "b", "cap"),
        ),
        (
            "### A\nscraps: cap\n### B\ntakes off: cap\n### C\nfits: cap\n",
            "",
            ("part-not-on", "b", "cap"),
        ),
        ("### A\nfits: cap\n", "", ("part-already-on", "a", "cap")),
        ("### A\nscraps: cap\n### B\nfits: cap\n", "", ("part-was-scrapped", "b", "cap")),
        ("### A\nfits new: cap\n", "", ("old-part-still-there", "a", "cap")),
        ("### A\ntakes off: cap\n### B\nfits new: cap\n", "", ("old-part-still-there", "b", "cap")),
        ("### A\ntakes off: cap\n", "", ("part-left-off", None, "cap")),
        ("### A\nscraps: cap\n", "", ("part-not-replaced", None, "cap")),
        ("### A\nscraps: cap\n", "leaves off: cap\n", ("part-not-replaced", None, "cap")),
        ("### A\nmakes: shaft guarded\n", "", ("guard-left", None, "shaft guarded")),
        ("### A\n", "given: shaft guarded\n", ("guard-left", None, "shaft guarded")),
        (
            "### A\nmakes: shaft guarded\n### B\nmakes: Shaft  guarded\n### C\nends: shaft "
            "guarded\n",
            "",
            ("made-twice", "b", "Shaft  guarded"),
        ),
        ("### A\nafter: b\n### B\n", "", ("out-of-order", "a", "b")),
        ("### A\nafter: a\n", "", ("out-of-order", "a", "a")),
        ("### A\n### B\nafter: A\n", "", ("out-of-order", "b", "A")),
        ("### A\n", "leaves: x\n", ("leaves-not-met", None, "x")),
        ("### A\nfits: cap\n", "off: cap\nleaves off: cap\n", ("leaves-not-met", None, "cap")),
        ("### A\n", "leaves off: cap\n", ("leaves-not-met", None, "cap")),
        ("### A\n", "off: cap\n", ("part-left-off", None, "cap")),
        ("### A\n", "follows: before\n", ("follows-not-met", None, "before")),
        (
            "### A\nonly if: rng = eyelet\n### B\nonly if: ring = prong\n",
            RING,
            ("unknown-option", "a", "rng"),
        ),
        ("### A\nonly if: ring = eyelit\n", RING, ("unknown-option", "a", "eyelit")),
        # as written, with capitals and spaces, so that the author finds it in the text
        ("### A\nonly if: ring = Eye  lit\n", RING, ("unknown-option", "a", "Eye  lit")),
        (
            "### A\nonly if: Ring  size = eyelet\n### B\nonly if: ring = prong\n",
            RING,
            ("unknown-option", "a", "Ring  size"),
        ),
        (
            "### A\nonly if: ring = eyelet\n",
            f"{RING}never: [ring = prang]\n",
            ("unknown-option", None, "prang"),
        ),
        ("### A\nonly if: ring = eyelet; ring = prong\n", RING, ("step-never-applies", "a", "a")),
        (
            "### A\nonly if: ring = prong\n",
            f"{RING}never: ring = prong\n",
            ("step-never-applies", "a", "a"),
        ),
        ("### A\n", RING, ("variant-changes-nothing", None, "ring")),
    ]
)
def test_a_fault_gives_its_one_finding(body, header, expected):
    assert only(body, header) == expected


@for_each(
    [
        ("### A\nmakes: x\n### B\nneeds: X\n", ""),
        # Unicode Standard Annex 15: canonically equivalent, U+00D6 and O with U+0308
        ("### A\nmakes: \u00d6l in\n### B\nneeds: o\u0308l in\n", ""),
        ("### A\nneeds: x\n", "given: x\n"),
        ("### A\nmakes: x\n### B\nends: x\n", ""),
        ("### A\nmakes: x; x\n", ""),
        (f"{SAFE}### A\nopens: AIR  chamber\n{WARNING}", ""),
        ("### A\ntakes off: cap\n### B\nfits: cap\n", ""),
        ("### A\ntakes off: cap\n### B\nscraps: cap\n### C\nfits new: cap\n", ""),
        ("### A\nscraps: cap\n### B\nfits new: cap\n", ""),
        ("### A\nfits new: cap\n", "off: cap\n"),
        ("### A\ntakes off: cap\n", "leaves off: cap\n"),
        ("### A\n", "off: cap\nleaves off: cap\n"),
        ("### A\nmakes: shaft guarded\n", "leaves: shaft guarded\n"),
        (
            "### A\nmakes: shaft guarded\n### B\nends: shaft guarded\n### C\nmakes: shaft "
            "guarded\n### D\nends: shaft guarded\n",
            "",
        ),
        ("### A\n### B\nafter: a\n", ""),
        ("### A\nmakes: x\n", "leaves: x\n"),
        ("### A\nonly if: ring = eyelet\n### B\nonly if: RING = Prong\n", RING),
        ("### A\nafter: b\nonly if: ring = eyelet\n### B\nonly if: ring = prong\n", RING),
    ]
)
def test_what_is_right_gives_no_finding(body, header):
    assert told(body, header) == []


def test_inside_a_step_fields_take_effect_in_their_own_order_whatever_the_lines():
    body = (
        "### A\nmakes: shaft guarded\nfits new: seal\nends: shaft in the vise\nscraps: "
        "seal\ntakes off: seal\nneeds: shaft in the vise\n### B\nends: shaft guarded\n"
    )
    assert told(body, "given: shaft in the vise\n") == []
    assert only("### A\nneeds: x\nmakes: x\n") == ("need-not-met", "a", "x")
    assert only(
        "### A\nends: shaft guarded\nmakes: shaft guarded\n### B\nends: shaft guarded\n"
    ) == ("ends-nothing", "a", "shaft guarded")
    assert only(f"### A\nopens: air chamber\nmakes: air let out\n{WARNING}") == (
        "opens-unsafe",
        "a",
        "air chamber",
    )


def test_one_fault_gives_one_finding_and_no_cascade():
    assert len(told("### A\nneeds: x\n### B\nneeds: x\n### C\nends: x\n### D\nmakes: y\n")) == 1
    assert only("### A\nfits: cap\n### B\ntakes off: cap\n### C\nfits: cap\n") == (
        "part-already-on",
        "a",
        "cap",
    )
    assert only("### A\nneeds: x\n", "leaves: x\n") == ("never-made", "a", "x")


def test_a_fact_that_was_ended_is_missed_again():
    assert told("### A\nneeds: x\nends: x\n### B\nneeds: x\n### C\nmakes: x\n") == [
        ("need-not-met", "a", "x", {}),
        ("need-not-met", "b", "x", {}),
    ]


def test_a_guard_taken_as_given_is_neither_left_on_nor_made_twice():
    assert only(
        "### A\nneeds: shaft guarded\n### B\nmakes: shaft guarded\n### C\nends: shaft guarded\n"
    ) == ("need-not-met", "a", "shaft guarded")
    assert only("### A\nneeds: shaft guarded\n") == ("never-made", "a", "shaft guarded")


def test_an_opening_trusts_only_what_an_opening_found_missing():
    twice = f"### A\nopens: air chamber\n{WARNING}### B\nopens: air chamber\n{WARNING}"
    assert only(twice) == ("opens-unsafe", "a", "air chamber")
    needed = f"### A\nneeds: air let out\n### B\nopens: air chamber\n{WARNING}"
    assert [each[:3] for each in told(needed)] == [
        ("never-made", "a", "air let out"),
        ("opens-unsafe", "b", "air chamber"),
    ]
    opened = f"### A\nopens: air chamber\n{WARNING}### B\nneeds: air let out\n"
    assert only(opened) == ("opens-unsafe", "a", "air chamber")


@pytest.mark.parametrize("word", ["depressurised", "No pressure left", "air let  out"])
def test_words_of_joined_groups_mean_the_same_fact(word):
    assert (
        told(
            f"### A\nmakes: {word}\n### B\nopens: air chamber\n{WARNING}### C\nneeds: air let out\n"
        )
        == []
    )


def test_words_of_a_group_mean_the_same_part_too_and_are_told_as_written():
    assert told("### A\ntakes off: seal head\n### B\nfits: end plug\n") == []
    assert only("### A\ntakes off: seal head\n### B\nfits: End plug\n### C\nfits: seal head\n") == (
        "part-already-on",
        "c",
        "seal head",
    )
    assert only("### A\ntakes off: End plug\n") == ("part-left-off", None, "End plug")


def test_a_new_part_goes_on_where_one_is_off_only_while_that_was_not_moved():
    assert only(
        "### A\nfits: cap\n### B\ntakes off: cap\n### C\nfits new: cap\n", "off: cap\n"
    ) == ("old-part-still-there", "c", "cap")


def test_a_fact_is_never_made_only_when_no_step_makes_it_for_any_fork():
    body = "### A\nneeds: x\n### B\nonly if: ring = prong\nmakes: x\n"
    assert told(body, RING) == [("need-not-met", "a", "x", {})]


def test_never_made_is_one_finding_at_the_first_step_for_every_fork_that_misses_it():
    body = "### A\nonly if: ring = prong\nneeds: x\n### B\nneeds: x\n"
    assert told(body, RING) == [("never-made", "a", "x", {})]
    body = (
        "### A\nonly if: ring = prong\nneeds: x\n### B\nonly if: ring = prong\nneeds: x\n### "
        "C\nonly if: ring = eyelet\n"
    )
    assert told(body, RING) == [("never-made", "a", "x", {"ring": "prong"})]


def test_the_line_is_that_of_the_field_and_at_the_end_of_the_last_move():
    # The body starts on line 4.
    assert [found.line for found in findings("### A\ntool: t\nneeds: y\nneeds: x\n", "")] == [6, 7]
    assert [
        found.line
        for found in findings("### A\ntakes off: cap\n### B\nfits: cap\n### C\ntakes off: cap\n")
    ] == [9]
    assert [found.line for found in findings("### A\nmakes: shaft guarded\n")] == [5]
    assert [found.line for found in findings("### A\n", "given: [\n  a,\n  shaft guarded]\n")] == [
        5
    ]
    assert [
        found.line for found in findings("### A\nmakes: x\n### B\nends: x\n", "leaves: x\n")
    ] == [6]


def test_the_smallest_variant_is_told():
    header = "variants: {ring: [eyelet, prong], bumper: [fitted, none]}\n"
    asked = "### Z\nonly if: bumper = none\n### Y\nonly if: ring = prong\n"
    assert told(f"{asked}### A\nonly if: ring = prong\ntakes off: cap\n", header) == [
        ("part-left-off", None, "cap", {"ring": "prong"})
    ]
    both = "### A\nonly if: ring = prong; bumper = none\ntakes off: cap\n"
    assert told(asked + both, header) == [
        ("part-left-off", None, "cap", {"ring": "prong", "bumper": "none"})
    ]
    # Here either option alone is enough, so the one that stands first in the header is told.
    either = "### A\ntakes off: cap\n### B\nonly if: ring = eyelet; bumper = fitted\nfits: cap\n"
    assert told(asked + either, header) == [("part-left-off", None, "cap", {"ring": "prong"})]
    # A prong ring without a bumper is the only fork without one, so bumper = none is enough.
    assert told(asked + both, f"{header}never: ring = eyelet; bumper = none\n") == [
        ("part-left-off", None, "cap", {"bumper": "none"})
    ]


def test_a_finding_about_the_text_of_a_step_shows_where_the_step_is_reached():
    body = (
        "### A\nonly if: ring = prong\nopens: air chamber\nneeds: a b\ncolour: red\n### B\nonly "
        "if: ring = eyelet\n"
    )
    variants = {
        found.code: dict(found.variant)
        for found in findings(body, f"{RING}given: [a b, air let out]\n")
    }
    assert variants == {"opens-without-caution": {"ring": "prong"}, "bad-field": {"ring": "prong"}}
    late = (
        '### A\nonly if: ring = prong\n\nx\n\n!!! danger "D"\n    h\n### B\nonly if: ring = '
        "eyelet\n"
    )
    assert told(late, RING) == [("caution-after-action", "a", "D", {"ring": "prong"})]


def test_combinations_that_no_fork_has_do_not_count():
    header = (
        "variants: {ring: [eyelet, prong], bumper: [fitted, none]}\nnever: [ring = prong; bumper "
        "= none]\n"
    )
    body = (
        "### A\nonly if: bumper = none\ntakes off: cap\n### B\nonly if: ring = eyelet\nfits: "
        "cap\n### C\nonly if: ring = eyelet; bumper = fitted\ntakes off: cap\n"
    )
    assert [(code, variant) for code, _, _, variant in told(body, header)] == [
        ("part-already-on", {"ring": "eyelet", "bumper": "fitted"}),
        ("part-left-off", {"ring": "eyelet", "bumper": "fitted"}),
    ]


def test_findings_stand_in_order_of_line_code_and_what_they_are_about():
    found = findings("### A\nneeds: y; x\nopens: b; a\n### B\nneeds: z\n", "leaves: w\n")
    assert [(each.line, each.code, each.about) for each in found] == sorted(
        (each.line, each.code, each.about) for each in found
    )
    assert len(found) == 8


BEFORE = "### A\ntakes off: lower legs\nmakes: x\n"


@pytest.mark.parametrize(
    ("leaves", "starts", "expected"),
    [
        ("leaves: [x, y]\nleaves off: [Lower  legs]\n", "given: X\noff: lower legs\n", set()),
        (
            "leaves: depressurised\nleaves off: [lower legs]\n",
            "given: air let out\noff: lower legs\n",
            set(),
        ),
        ("leaves off: [lower legs]\n", "given: [x]\noff: lower legs\n", {"x"}),
        ("leaves off: []\n", "off: lower legs\n", {"lower legs"}),
        ("leaves off: [lower legs, cap]\n", "off: lower legs\n", {"cap"}),
    ],
)
def test_a_write_up_starts_as_the_one_it_follows_ends(leaves, starts, expected):
    from procedures.writeup.parse import parse

    others = {"before-it": parse(text(BEFORE, leaves))}
    found = told("### A\nfits: lower legs\n", f"{starts}follows: BEFORE-it\n", others=others)
    assert {about for code, _, about, _ in found if code == "follows-not-met"} == expected
    assert {code for code, *_ in found} <= {"follows-not-met"}


def test_twenty_free_options_and_twice_as_many_that_meet_nowhere_are_rehearsed_exactly():
    names = [f"v{number}" for number in range(60)]
    header = f"variants: {{{', '.join(f'{name}: [a, b]' for name in names)}}}\n"
    steps = "".join(
        f"### T{name}\nonly if: {name} = b\ntakes off: part {name}\n### F{name}\nonly if: "
        f"{name} = b\nfits: part {name}\n"
        for name in names
    )
    assert told(steps, header) == []
    planted = steps.replace("### Fv7\nonly if: v7 = b", "### Fv7\nonly if: v7 = b; v42 = a")
    assert told(planted, header) == [("part-left-off", None, "part v7", {"v7": "b", "v42": "b"})]


def test_options_that_meet_in_too_many_ways_are_one_plain_finding():
    names = [f"v{number}" for number in range(101)]
    header = f"variants: {{{', '.join(f'{name}: [a, b]' for name in names)}}}\n"
    steps = "".join(f"### T{name}\nonly if: {name} = b\n" for name in names)
    assert told(steps, header) == [("bad-header", None, "variants", {})]


def test_words_of_a_group_are_no_other_names_of_a_source_of_danger():
    """`same` reaches facts and parts; a source of danger is called as the rules call it."""
    rules = RULES.replace("same: [", "same: [[upper side, air chamber], ")
    opening = f"### A\nmakes: air let out\n### B\nopens: {{}}\n{WARNING}"
    assert told(opening.format("air chamber"), rules=rules) == []
    assert [found[0] for found in told(opening.format("upper side"), rules=rules)] == [
        "unknown-danger"
    ]
