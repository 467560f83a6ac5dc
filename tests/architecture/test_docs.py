"""Do README and DEVELOPERS say what is there, and is what they say so?"""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BOTH = README + (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
OWN_COMMANDS = sorted(name for name, app in get_commands().items() if app in ("procedures", "quizzes", "training"))
VARIABLES = sorted(
    {
        name
        for app in ("procedures", "quizzes", "training")
        for path in (ROOT / app).rglob("*.py")
        for name in re.findall(r'"(BENCHRIGHT_[A-Z_]+)"', path.read_text(encoding="utf-8"))
    }
)
SHOWN = sorted(set(re.findall(r"manage\.py ([a-z_]+)", BOTH)))


@pytest.mark.parametrize("name", OWN_COMMANDS)
def test_every_command_of_ours_is_in_the_readme(name):
    assert f"manage.py {name}" in README


@pytest.mark.parametrize("name", [*VARIABLES, "DATABASE_URL"])
def test_every_setting_is_in_the_readme(name):
    assert f"`{name}`" in README


@pytest.mark.parametrize("name", SHOWN)
def test_every_command_shown_is_there(name):
    assert name in get_commands()


@pytest.mark.parametrize("name", OWN_COMMANDS)
def test_every_command_of_ours_explains_itself(name):
    done = subprocess.run(
        [sys.executable, "manage.py", name, "--help"], cwd=ROOT, capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "usage:" in done.stdout


def test_two_lines_of_the_readme_do_all_set_up():
    lines = [line.strip() for line in README.splitlines() if line.startswith("    python3 -m venv")]
    assert len(lines) == 2
    assert lines[0].endswith("manage.py demo")
    assert lines[1].endswith("-m pytest")


def test_the_top_level_holds_nothing_else():
    allowed = {"README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", "training", "procedures", "quizzes", "tests", "fixtures"}
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, timeout=60, check=False)
    if tracked.returncode:
        pytest.skip("this copy is no git checkout")
    top = {line.partition("/")[0] for line in tracked.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} == allowed


def test_every_folder_on_the_map_is_there():
    house = BOTH.partition("```")[2].partition("```")[0]
    for name in re.findall(r"^\s{0,2}([a-z]+)/", house, flags=re.MULTILINE):
        assert list(ROOT.rglob(f"{name}/")), name
