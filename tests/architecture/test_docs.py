"""Do README, DEVELOPERS and the rooms say what is there, and is what they say so?"""

import json
import os
import re
import shlex
import socket
import subprocess
import sys
import urllib.request
from datetime import UTC, datetime

import pytest
import yaml
from django.core.management import get_commands, load_command_class
from django.urls import get_resolver

from procedures.pictures.clean import clean
from procedures.pictures.made import DRAWING
from procedures.writeup.drawings import words_of
from procedures.writeup.parse import parse
from quizzes.marking.advice import advise
from quizzes.marking.texts import read_questions
from tests.architecture.documents import DOCS, ROOT, example, pieces
from tests.for_each import for_each
from tests.forked import run_program
from training.exchange.matrix.answered import answers_of
from training.records.book.chain import START, link

pytestmark = pytest.mark.any_database  # files only, or a place of its own on SQLite

README = DOCS["README.md"]
OWN_COMMANDS = sorted(
    name for name, app in get_commands().items() if app in ("procedures", "quizzes", "training")
)
VARIABLES = sorted(
    {
        name
        for app in ("procedures", "quizzes", "training")
        for path in (ROOT / app).rglob("*.py")
        for name in re.findall(r'"(BENCHRIGHT_[A-Z_]+)"', path.read_text(encoding="utf-8"))
    }
)
SHOWN = sorted(
    {name for text in DOCS.values() for name in re.findall(r"manage\.py ([a-z_]+)", text)}
)


@for_each(OWN_COMMANDS)
def test_every_command_of_ours_is_in_the_readme(name):
    assert f"manage.py {name}" in README


@for_each([*VARIABLES, "DATABASE_URL", "DATABASE_REPLICA_URL"])
def test_every_setting_is_in_the_readme(name):
    assert f"`{name}`" in README


@for_each(SHOWN)
def test_every_command_shown_is_there(name):
    assert name in get_commands()


# One program asks for all of them, since most of the time goes into starting it.
EXPLAINED = """
import contextlib, io, json, runpy, sys
told = {}
for name in sys.argv[1:]:
    sys.argv, out = ["manage.py", name, "--help"], io.StringIO()
    try:
        with contextlib.redirect_stdout(out):
            runpy.run_path("manage.py", run_name="__main__")
        code = None
    except SystemExit as end:
        code = end.code
    told[name] = [code, out.getvalue()]
print(json.dumps(told))
"""


def test_every_command_of_ours_explains_itself():
    done = run_program(["-c", EXPLAINED, *OWN_COMMANDS], dict(os.environ))
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert set(told) == set(OWN_COMMANDS)
    wrong = {name: said for name, said in told.items() if said[0] != 0 or "usage:" not in said[1]}
    assert wrong == {}


def options_of(command):
    parser = load_command_class(get_commands()[command], command).create_parser(
        "manage.py", command
    )
    return {option for action in parser._actions for option in action.option_strings}


@for_each(SHOWN)
def test_every_option_shown_is_there(name):
    """An option stands in the paragraph of its command, or in the command's item of the list."""
    told = [
        piece
        for text in DOCS.values()
        for piece in pieces(text)
        if piece.count("manage.py") == 1 and re.search(rf"manage\.py {name}\b", piece)
    ]
    shown = {option for one in told for option in re.findall(r"(?<![\w-])--[a-z][a-z-]+", one)}
    assert shown <= options_of(name)


SITE = "training/site/README.md"
API = "training/views/api/README.md"  # its addresses are those of its description


def first_parts():
    """The first part of every address, such as "who-may", with the README.md of its app."""
    parts = set()
    for found in get_resolver().url_patterns:
        above = str(found.pattern)
        app = getattr(found, "app_name", None)
        if getattr(found, "namespace", None) == "api":
            parts.add((API, "api"))
            continue
        for inner in [found] if above or not app else found.url_patterns:
            parts.add((f"{app}/README.md" if app else SITE, str(inner.pattern).partition("/")[0]))
    return sorted(part for part in parts if part[1])


@for_each(first_parts())
def test_every_address_is_on_the_map_of_its_app(place, part):
    assert f"`/{part}/`" in DOCS[place]


@for_each(sorted(get_resolver().namespace_dict))
def test_every_family_of_route_names_is_on_the_map_of_its_app(name):
    assert f"`{name}:…`" in DOCS[API if name == "api" else f"{name}/README.md"]


def test_the_steps_to_open_a_shop_lead_to_a_page(tmp_path):
    section = README.partition("## Your own shop")[2].partition("\n## ")[0]
    steps = [
        line.strip()
        for line in section.splitlines()
        if line.startswith("    .venv/bin/python manage.py")
    ]
    place = {
        **os.environ,
        "BENCHRIGHT_HOME": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "training.site.settings",
    }
    place.pop("DATABASE_URL", None)
    opened, serves = (step.replace(".venv/bin/python", sys.executable) for step in steps)
    more = {"cwd": ROOT, "env": place, "text": True, "stderr": subprocess.PIPE}
    done = subprocess.run(  # noqa: S602
        f"{opened} --password 'a long one for trying'",
        shell=True,
        stdout=subprocess.PIPE,
        timeout=120,
        check=False,
        **more,
    )
    assert done.returncode == 0, done.stderr
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    server = subprocess.Popen([*shlex.split(serves), "--port", str(port)], **more)
    try:
        page = page_of_program(f"http://127.0.0.1:{port}/sign-in/", server)
        style = re.search(r'href="(/static/benchright/look\.\w+\.css)"', page)[1]
        assert "font" in page_of_program(f"http://127.0.0.1:{port}{style}", server)
    finally:
        server.terminate()
        server.communicate(timeout=60)


def page_of_program(address, server):
    """What a program answers that was started just now."""
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    for _ in range(300):
        try:
            return opener.open(address, timeout=30).read().decode()
        except OSError:
            assert server.poll() is None, server.stderr.read()
            with pytest.raises(subprocess.TimeoutExpired):
                server.wait(0.1)
    raise AssertionError(f"{address} does not answer")


def test_a_stranger_computes_a_digest_as_the_printed_program_says():
    code = example("training/records/book/README.md", "python")
    assert sum(1 for line in code.splitlines() if line.strip()) <= 40
    told: dict = {"__name__": "a stranger's"}
    exec(code, told)  # noqa: S102
    made = link(
        number=1,
        kind="job",
        row=7,
        written_at=datetime(2026, 11, 25, 9, 30, tzinfo=UTC),
        body={"person": "Zoë", "watched_by": None, "on": "2026-11-24"},
        previous=START,
    )
    entry = {
        "number": made.number,
        "kind": made.kind,
        "row": made.row,
        "written_at": "2026-11-25T09:30:00.000000Z",
        "body": json.loads(made.body),
        "previous": made.previous,
    }
    assert told["digest"](entry) == made.digest


def test_two_lines_of_the_readme_do_all_set_up():
    lines = [line.strip() for line in README.splitlines() if line.startswith("    python3 -m venv")]
    assert len(lines) == 2
    assert lines[0].endswith("manage.py demo")
    assert lines[1].endswith("-m pytest")


def test_the_top_level_holds_nothing_else():
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "manage.py",
        "pyproject.toml",
        "training",
        "procedures",
        "quizzes",
        "tests",
        "fixtures",
    }
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, timeout=60, check=False
    )
    if tracked.returncode:
        pytest.skip("this copy is no git checkout")
    top = {line.partition("/")[0] for line in tracked.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} == allowed


def test_the_worked_step_can_be_read_and_says_all_that_it_should():
    writeup = parse("---\ntitle: An example\n---\n" + example("fixtures/README.md", "markdown"))
    assert list(writeup.faults) == []
    (step,) = writeup.steps
    (caution,) = step.cautions
    assert all(
        (step.critical, step.makes, step.checks, caution.hazard, caution.harm, caution.avoid)
    )


def test_the_worked_answers_are_read_as_the_reader_of_a_list_wants_them():
    said = yaml.safe_load(example("training/exchange/matrix/README.md", "yaml"))
    given = answers_of(said, "README.md")
    assert given.levels == {"Air": "air-spring", "Phone": ""}
    assert given.words == {"green": True, "red": False}
    assert None not in (given.undated, given.day_order, given.practice_from)


def test_the_worked_question_fits_its_write_up_and_the_guidelines():
    (question,) = read_questions(
        "writeup: release-the-air\nquestions:\n" + example("fixtures/README.md", "yaml")
    )
    assert list(advise(question)) == []
    newest = parse(
        (ROOT / "fixtures" / "writeups" / "release-the-air.r3.md").read_text(encoding="utf-8")
    )
    assert set(question.steps) <= {step.id for step in newest.steps}


def test_the_worked_drawing_is_one_that_the_library_would_take():
    svg = example("procedures/drawings/README.md", "svg")
    title, description, words = words_of(svg)
    assert all((title, description, words))
    assert not re.search(r"\b(left|right)\b", title + description)
    assert clean(svg.encode(), title=title, description=description).kind == DRAWING
