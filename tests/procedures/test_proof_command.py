"""Does the command tell the findings as it says, to people and to programs?"""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.procedures.proofed import step

CLEAN = step("Put the back-up ring on the low-pressure side of the X-ring.")
HINT = step("Do not turn the shaft.")
ASKS = step("Wait.")


@pytest.fixture
def run(tmp_path):
    """Write the texts, run the command on them; its exit code, output and messages."""

    def run(texts, *more, **options):
        for name, written in texts.items():
            (tmp_path / name).write_bytes(
                written if isinstance(written, bytes) else written.encode()
            )
        files = [str(tmp_path / name) for name in (*texts, *more)]
        out, err = StringIO(), StringIO()
        try:
            call_command("proof", *files, stdout=out, stderr=err, **options)
        except SystemExit as leaving:
            return leaving.code, out.getvalue(), err.getvalue()
        return 0, out.getvalue(), err.getvalue()

    return run


@pytest.mark.parametrize(
    ("written", "code"), [(CLEAN, 0), (HINT, 0), (ASKS, 1), (CLEAN.encode("utf-16"), 2)]
)
def test_the_exit_code_says_how_it_went(run, written, code):
    assert run({"one.md": written})[0] == code


def test_a_finding_is_told_in_one_line_with_its_rule_and_source(run, tmp_path):
    line = ASKS.split("\n").index("Wait.") + 1
    first, last = run({"one.md": ASKS})[1].splitlines()
    assert first.startswith(f"{tmp_path}/one.md:{line}: W ST-08 [it]: How long?")
    assert "DOE-STD-1029-92" in first
    assert last == "1 write-up proofed. To put right or to answer: 1. Hints: 0."


def test_programs_get_json_and_the_others_are_told_when_a_file_is_not_there(run, tmp_path):
    code, out, err = run({"b.md": ASKS, "a.md": HINT}, "absent.md", format="json")
    found = json.loads(out)
    assert code == 2
    assert "absent.md: cannot be read" in err
    assert [(each["file"], each["rule"], each["level"], each["step"]) for each in found] == [
        (f"{tmp_path}/a.md", "ST-06", "I", "it"),
        (f"{tmp_path}/b.md", "ST-08", "W", "it"),
    ]
    assert set(found[0]) == {
        "file",
        "rule",
        "level",
        "step",
        "line",
        "about",
        "message",
        "name",
        "source",
    }
    assert json.loads(run({"one.md": CLEAN}, format="json")[1]) == []


def test_line_ends_of_other_systems_do_not_move_lines(run):
    plain = json.loads(run({"one.md": ASKS}, format="json")[1])
    other = json.loads(run({"one.md": "\ufeff" + ASKS.replace("\n", "\r\n")}, format="json")[1])
    assert [each["line"] for each in other] == [each["line"] for each in plain]


def test_without_a_file_the_command_says_so():
    with pytest.raises(CommandError):
        call_command("proof")
