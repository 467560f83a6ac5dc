"""Does a rule with a term of its own cost eight files, as its worked example says, and is it then
seen everywhere?

The README of the standing shows the changes; here they are made in a copy of the house.
"""

import os
import re
import shutil
import subprocess
import sys

import pytest

from tests.architecture.documents import DOCS, ROOT, examples

# A column like any other; that a sealed table keeps its seal over a new one, on either database,
# stands in tests/training/test_seals.py.
pytestmark = pytest.mark.any_database

PLACE = "training/standing/README.md"
CHANGE = re.compile(r"\+\+\+ (?P<path>\S+)\n(?P<hunks>.*)", re.DOTALL)


def changed_files():
    """The path and the hunks of each file of the worked example."""
    told = [text for language, text in examples(DOCS[PLACE]) if language == "diff"]
    for found in map(CHANGE.fullmatch, told):
        yield found["path"], [hunk.splitlines() for hunk in found["hunks"].split("@@\n")[1:]]


def change(path, hunks):
    """Do to a file what its hunks say; each place must be there once."""
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    for hunk in hunks:
        old = "".join(line[1:] + "\n" for line in hunk if line[0] in " -")
        new = "".join(line[1:] + "\n" for line in hunk if line[0] in " +")
        assert not old or text.count(old) == 1, (path, old)
        text = text.replace(old, new) if old else new
    path.write_text(text, encoding="utf-8")


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """A copy of the house with the worked example built in; what it does not touch is linked."""
    top = tmp_path_factory.mktemp("house")
    for path in ROOT.iterdir():
        if path.is_file():
            shutil.copy(path, top)  # Python looks for packages where a script really lies
        elif not path.name.startswith(".") and path.name != "training":
            (top / path.name).symlink_to(path)
    shutil.copytree(ROOT / "training", top / "training")  # also what is compiled of it
    for name, hunks in changed_files():
        change(top / name, hunks)
    run(top, "manage.py", "makemigrations", "training", "-n", "first_aid", "--skip-checks")
    return top


def run(top, *args):
    """Run Python in the copy, at whose top it then looks for the house."""
    home = {"BENCHRIGHT_HOME": str(top / "home"), "PYTHONDONTWRITEBYTECODE": "1"}
    # neither how this run was asked for, nor the shops that it has made with other tables
    of_this_run = ("PYTEST_", "SHOPS_OF_THIS_RUN")
    kept = {key: value for key, value in os.environ.items() if not key.startswith(of_this_run)}
    done = subprocess.run(
        [sys.executable, *args],
        cwd=top,
        env=kept | home | {"PYTHONPATH": str(top)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def files_of(top):
    return {
        path.relative_to(top).as_posix(): path.read_bytes()
        for path in sorted((top / "training").rglob("*"))
        if path.is_file() and "__pycache__" not in path.parts
    }


def test_a_rule_with_a_term_of_its_own_costs_eight_files(house):
    before, after = files_of(ROOT), files_of(house)
    assert before.keys() <= after.keys()
    touched = {name for name in after if after[name] != before.get(name)}
    assert len(touched) == 8, touched
    assert {name for name, _ in changed_files()} < touched


def test_the_term_is_seen_in_form_page_book_folder_answer_and_json(house):
    options = ("-n0", "-q", "--no-migrations", "-p", "no:schemathesis")
    run(house, "-m", "pytest", *options, "tests/training/with_first_aid.py")


def test_the_changed_house_is_tidy(house):
    named = [name for name, _ in changed_files()]
    run(house, "-m", "ruff", "check", "--no-cache", *named)
    run(house, "-m", "ruff", "format", "--no-cache", "--check", *named)
