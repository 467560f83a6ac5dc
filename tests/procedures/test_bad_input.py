"""Does the reader of write-ups stay in bounds on texts made to break it, and does it say what is
wrong?

Bounds are counts and limits of the language; no test here looks at a clock.
"""

import tracemalloc

import pytest
from django.urls import reverse

from procedures.actions.desk import start_from_old
from procedures.models import Revision
from procedures.records.texts import MOST_STEPS, findings_of, proof_once
from procedures.records.wording.say import say, say_fault_of_rules
from procedures.rehearsal.walk import rehearse
from procedures.writeup import render
from procedures.writeup.parse import parse
from procedures.writeup.render import TOO_MUCH, body_html
from procedures.writeup.rules import BadRules, ShopRules, read_rules
from procedures.writeup.sections import LONGEST
from tests.for_each import for_each
from tests.procedures.factories import RevisionFactory
from tests.procedures.told import text

# "Billion laughs" in YAML: nine levels of nine aliases each (the example of the article of that
# name, from memory).
BOMB = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{key}: &{key} [{', '.join('*' + before for _ in range(9))}]\n"
    for before, key in zip("abcdefgh", "bcdefghi", strict=True)
)
MEGABYTES = 1024 * 1024


def faults(written):
    return {(fault.code, fault.about) for fault in parse(written).faults}


def memory_of(act):
    tracemalloc.start()
    act()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def test_a_yaml_bomb_is_refused_where_its_first_alias_stands():
    (fault,) = parse(f"---\ntitle: T\n{BOMB}---\n").faults
    assert (fault.code, fault.line) == ("bad-header", 3)
    assert "Names for repeated pieces" in say(fault.remark)
    with pytest.raises(BadRules) as caught:
        read_rules(BOMB)
    assert say_fault_of_rules(caught.value).startswith("line 1: Names for repeated pieces")


def test_a_yaml_bomb_takes_no_memory():
    assert memory_of(lambda: parse(f"---\ntitle: T\n{BOMB}---\n")) < 1 * MEGABYTES


@pytest.mark.parametrize("nest", ["[", "{a: ", "- ", "? "])
def test_lists_in_lists_of_the_header_are_refused(nest):
    assert ("bad-header", "---") in faults(f"---\ntitle: T\ngiven: {nest * 5_000}\n---\n")


def test_five_megabytes_are_not_read_and_the_reason_is_said():
    read = parse("x" * 5 * MEGABYTES)
    assert read.steps == ()
    assert f"longer than {LONGEST} characters" in say(read.faults[0].remark)


@pytest.mark.django_db
def test_ten_thousand_steps_are_not_rehearsed_and_the_reason_is_said():
    written = text("".join(f"### Step {number}\n\nDo it.\n" for number in range(10_000)))
    (found,) = findings_of(written, name="long")
    assert f"There are 10000 steps; at most {MOST_STEPS} are rehearsed" in say(found.remark)
    assert written.split("\n")[found.line - 1] == f"### Step {MOST_STEPS}"
    assert found.level == "error"
    assert proof_once(written) == ()


@pytest.mark.django_db
def test_as_many_steps_as_are_allowed_are_rehearsed():
    assert (
        findings_of(
            text("".join(f"### Step {number}\n\nDo it.\n" for number in range(MOST_STEPS))),
            name="long",
        )
        == ()
    )


@for_each(
    [
        ">" * 3_000 + " x",
        "> - " * 400 + "x",
        "\n".join("    " * depth + "- a" for depth in range(300)),
        "[" * 19_000,
        "![" * 9_000,
        "[[" * 9_000,
        "[a](" * 4_000,
        "(" * 19_000,
        "*_" * 9_000,
        "`" * 19_000,
        "<" * 19_000,
        "&" * 19_000,
        "|" * 9_000 + "\n" + "|-" * 4_000,
        "# a\n" * 499,
        "a\n===\n" * 249,
        "a\n: b\n" * 249,
        "1. " * 2_000,
        "```\n" * 499,
    ]
)
def test_deep_nesting_is_laid_out_or_shown_as_it_is_written(body):
    html = body_html(body)
    assert html
    assert len(html) < 40 * len(body)


@pytest.mark.parametrize("body", ["x" * 20_001, "x\n" * 501, "[" * 21, "(" * 21, "[a](" * 21])
def test_a_piece_beyond_the_bounds_is_shown_as_it_is_written(body):
    html = body_html(body + "<b>", too_much=say(TOO_MUCH))
    assert say(TOO_MUCH) in html
    assert "&lt;b&gt;" in html
    assert "<b>" not in html


@pytest.mark.parametrize(
    "body",
    ["x" * 20_000, "x\n" * 499, ("[a](/b) (c) " * 30 + "\n\n") * 30, "[" * 20 + "\n\n" + "[" * 20],
)
def test_a_piece_within_the_bounds_is_laid_out(body):
    assert len(body) <= render.LONGEST
    assert say(TOO_MUCH) not in body_html(body, too_much=say(TOO_MUCH))


ODD = [
    "\0",
    "\u202e",
    "\u2028",
    "\ufeff",
    "\ud800",
    "\U0010ffff",
    "\x1b[31m",
    "\u200d" * 50,
    "e" + "\u0301" * 500,
    "\x85",
    "\x0c",
]


@pytest.mark.parametrize("odd", ODD, ids=ascii)
def test_odd_characters_are_read_everywhere(odd):
    read = parse(
        f"---\ntitle: T{odd}T\n---\n{odd}\n## P{odd}\n\n### S{odd} {{#s}}\nneeds: "
        f'a{odd}\ntool: {odd}x\n\n!!! warning "{odd}"\n    hazard: {odd}\n\nDo {odd} it.\n'
    )
    rehearse(read, ShopRules())
    assert [step.id for step in read.steps] == ["s"]
    body_html(read.steps[0].body)


# --- the same through the pages


@pytest.fixture
def writer(client, senior, db):
    client.force_login(senior)
    return client


def sent(draft, written):
    return {
        "text": written,
        "reason": "",
        "asks": "nothing",
        "seen": draft.changed_at.isoformat(),
        "desk": "one",
        "check": "yes",
    }


HARD = {
    "bomb": f"---\ntitle: T\n{BOMB}---\n### S\n\nDo it.\n",
    "too many steps": "---\ntitle: T\n---\n" + "### S\n\nDo.\n" * (MOST_STEPS + 1),
    "brackets": "---\ntitle: T\n---\n### S\n\n" + "[" * 100_000,
    "quotations": "---\ntitle: T\n---\n### S\n\n" + ">" * 5_000 + "x",
    "drawings": "---\ntitle: T\n---\n### S\n\n" + "![x](drawing:air-spring)\n\n" * 1_000,
    "cautions": "---\ntitle: T\n---\n### S\n\n" + "!!! warning\n    x\n\n" * 600,
}


@pytest.mark.parametrize("name", HARD)
def test_the_desk_answers_a_hard_text(writer, name):
    draft = RevisionFactory()
    for page in ("edit", "check"):
        answer = writer.post(
            reverse(f"procedures:{page}", args=[draft.writeup.name, 1]), sent(draft, HARD[name])
        )
        assert answer.status_code == 200
        assert len(answer.text) < 12 * len(HARD[name]) + MEGABYTES
    assert Revision.objects.get().text == draft.text


def test_a_text_of_five_megabytes_comes_back_with_the_reason(writer):
    draft = RevisionFactory()
    page = writer.post(
        reverse("procedures:edit", args=[draft.writeup.name, 1]), sent(draft, "word " * MEGABYTES)
    ).text
    assert "at most 100000 characters" in page
    assert "word word" in page
    answer = writer.post(
        reverse("procedures:check", args=[draft.writeup.name, 1]), sent(draft, "word " * MEGABYTES)
    ).text
    assert "at most 100000 characters" in answer


def test_a_text_of_seven_megabytes_is_refused_in_plain_words(writer):
    draft = RevisionFactory()
    answer = writer.post(
        reverse("procedures:edit", args=[draft.writeup.name, 1]), sent(draft, "x" * 7 * MEGABYTES)
    )
    assert answer.status_code == 413  # RFC 9110, 15.5.14
    assert "at most 6 MB" in answer.text
    assert Revision.objects.get().text == draft.text


def test_an_old_text_made_to_break_becomes_a_draft(senior):
    from tests.procedures.factories import NOW

    for number, written in enumerate(HARD.values()):
        draft = start_from_old(
            name=f"old-{number}", title=f"Old {number}", text=written, author=senior, now=NOW
        )
        assert draft.released_on is None
