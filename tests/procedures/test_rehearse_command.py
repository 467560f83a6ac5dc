"""Does the command tell the findings as it says, to people and to programs?"""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.procedures.told import RULES, text

CLEAN = text("### A\nmakes: x\n")
ADVICE = text("### A\n", "variants: {ring: [a, b]}\n")
WRONG = text(
    "### A\nonly if: ring = b\ntakes off: cap\n### B\nonly if: ring = a\n",
    "variants: {ring: [a, b]}\n",
)


@pytest.fixture
def rehearse(tmp_path):
    """Write the texts, run the command on them; its exit code, output and messages."""

    def run(texts, **options):
        files = []
        for name, written in texts.items():
            (tmp_path / name).write_bytes(
                written if isinstance(written, bytes) else written.encode()
            )
            files.append(str(tmp_path / name))
        out, err = StringIO(), StringIO()
        try:
            call_command(
                "rehearse", *files, *options.pop("more", []), stdout=out, stderr=err, **options
            )
        except SystemExit as leaving:
            return leaving.code, out.getvalue(), err.getvalue()
        return 0, out.getvalue(), err.getvalue()

    return run


@pytest.mark.parametrize(
    ("written", "code"), [(CLEAN, 0), (ADVICE, 0), (WRONG, 1), (CLEAN.encode("utf-16"), 2)]
)
def test_the_exit_code_says_how_it_went(rehearse, written, code):
    assert rehearse({"one.md": written})[0] == code


def test_a_finding_is_told_in_one_line(rehearse, tmp_path):
    _, out, err = rehearse({"one.md": WRONG})
    first, last = out.splitlines()
    assert first.startswith(
        f"{tmp_path}/one.md:7: error part-left-off (ring = b): “cap” is still off at the end."
    )
    assert last == "1 write-up rehearsed. Errors: 1. Advice: 0."
    assert err == ""


def test_programs_get_json_and_nothing_else(rehearse, tmp_path):
    code, out, _ = rehearse({"b.md": WRONG, "a.md": ADVICE}, format="json")
    found = json.loads(out)
    message = found[1].pop("message")
    assert code == 1
    assert [each["file"] for each in found] == [f"{tmp_path}/a.md", f"{tmp_path}/b.md"]
    assert "cap" in message
    assert found[1] == {
        "file": f"{tmp_path}/b.md",
        "code": "part-left-off",
        "level": "error",
        "step": None,
        "about": "cap",
        "line": 7,
        "variant": {"ring": "b"},
    }


def test_json_of_nothing_is_an_empty_list(rehearse):
    assert json.loads(rehearse({"one.md": CLEAN}, format="json")[1]) == []


def test_the_others_are_told_when_a_file_cannot_be_read(rehearse, tmp_path):
    code, out, err = rehearse({"one.md": WRONG}, more=[str(tmp_path / "absent.md")], format="json")
    assert (code, [each["code"] for each in json.loads(out)]) == (2, ["part-left-off"])
    assert "absent.md: cannot be read" in err


@pytest.mark.parametrize("rules", [RULES, None, "safe: ["])
def test_rules_decide_and_may_be_missing_or_unreadable(rehearse, tmp_path, rules):
    if rules is not None:
        (tmp_path / "rules.yaml").write_text(rules)
    code, out, err = rehearse(
        {"one.md": text("### A\nmakes: shaft guarded\n")},
        rules=str(tmp_path / "rules.yaml"),
        format="json",
    )
    assert code == (1 if rules == RULES else 2)
    assert [each["code"] for each in json.loads(out)] == (["guard-left"] if rules == RULES else [])
    assert bool(err) == (rules != RULES)


def test_without_rules_no_danger_is_known_and_nothing_is_temporary(rehearse):
    _, out, _ = rehearse(
        {
            "one.md": text(
                '### A\nopens: air chamber\nmakes: shaft guarded\n\n!!! danger "D"\n    h\n'
            )
        },
        format="json",
    )
    assert [each["code"] for each in json.loads(out)] == ["unknown-danger"]


def test_the_files_at_hand_are_what_follows_knows(rehearse):
    before, after = text("### A\n"), text("### A\n", "follows: Before\n")
    assert rehearse({"before.md": before, "after.md": after})[0] == 0
    assert rehearse({"after.md": after})[0] == 1


def test_line_ends_of_other_systems_do_not_move_lines(rehearse):
    _, out, _ = rehearse({"one.md": "\ufeff" + WRONG.replace("\n", "\r\n")}, format="json")
    assert [each["line"] for each in json.loads(out)] == [7]


def test_without_a_file_the_command_says_so():
    with pytest.raises(CommandError):
        call_command("rehearse")
