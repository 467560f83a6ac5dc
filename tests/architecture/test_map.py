"""Does the map lead a stranger to the right room, and is everything there that it names?"""

import ast
import re

import pytest

from tests.architecture.documents import DOCS, ROOT, examples, quoted
from tests.for_each import for_each

APPS = ("procedures", "quizzes", "training")
# What each app has; its own README.md tells what is in them.
LAYERS = {
    "actions",
    "management",
    "migrations",
    "models",
    "reports",
    "static",
    "templates",
    "views",
}
ROOMS = sorted(
    path.relative_to(ROOT).as_posix()
    for app in APPS
    for path in (ROOT / app).iterdir()
    if path.is_dir() and path.name not in LAYERS | {"__pycache__", "templatetags"}
)
MAP = DOCS["DEVELOPERS.md"]
FOR_DEVELOPERS = sorted(set(DOCS) - {"README.md", "fixtures/FACTS.md"})
FILE = re.compile(r"(?<![\w/.<-])[\w.-]+(?:/[\w.-]+)*\.(?:py|md|js|css|yaml|html|svg|json|toml)\b")
FOLDER = re.compile(r"(?<![\w/.<-])(?:[\w.-]+/)+(?![\w<])")
# Files that the site, a shop or a reader makes, and what a document calls them.
MADE = {"verify.py", "NAME.rN.md", "FILE.yaml", "old/"}
# Where each block of code is run, so that no example stands there untried.
RUN_BY = {
    ("DEVELOPERS.md", ""): "test_map.py::test_every_folder_of_the_house_is_there",
    ("fixtures/README.md", "markdown"): "test_docs.py::test_the_worked_step_can_be_read",
    ("fixtures/README.md", "yaml"): "test_docs.py::test_the_worked_question_fits_its_write_up",
    ("procedures/drawings/README.md", "svg"): "test_docs.py::test_the_worked_drawing_is_one",
    ("quizzes/kinds/README.md", "html"): "test_seventh_kind.py::test_its_answer_is_told",
    ("quizzes/kinds/README.md", "py"): "test_seventh_kind.py::test_its_faults_are_told",
    ("quizzes/kinds/README.md", "python"): "test_seventh_kind.py::test_the_worked_seventh_kind",
    ("training/exchange/matrix/README.md", "yaml"): "test_docs.py::test_the_worked_answers",
    ("training/records/book/README.md", "python"): "test_docs.py::test_a_stranger_computes",
    ("training/standing/README.md", "diff"): "test_new_term.py::test_a_rule_with_a_term",
}


@for_each(sorted(DOCS))
def test_no_line_of_a_document_is_too_long_to_read(name):
    lines = enumerate(DOCS[name].splitlines(), start=1)
    assert [number for number, line in lines if len(line) > 160] == []


def test_the_map_is_short():
    assert len(MAP.split()) <= 1500


@for_each([*APPS, *ROOMS, "tests", "tests/bench", "fixtures"])
def test_each_app_and_each_room_says_what_is_in_it(name):
    assert f"{name}/README.md" in DOCS, f"say in {name}/README.md what is in the room"
    assert f"]({name}/README.md)" in MAP, "the map leads to each README.md"


@pytest.mark.parametrize("app", APPS)
def test_an_app_tells_of_each_of_its_rooms_in_a_line(app):
    for room in ROOMS:
        if room.startswith(f"{app}/"):
            assert re.search(rf"^- `{room.split('/')[1]}/`.*: ", DOCS[f"{app}/README.md"], re.M), (
                room
            )


@for_each(sorted(name for name in ROOMS if list((ROOT / name).glob("*.py"))))
def test_a_room_tells_of_each_of_its_modules(room):
    modules = {path.name for path in (ROOT / room).glob("*.py")} - {"__init__.py"}
    assert [name for name in sorted(modules) if f"`{name}`" not in DOCS[f"{room}/README.md"]] == []


def there(place, name):
    """Whether a file or folder stands beside the document, or at this path from the top. What the
    map says of every app must stand in each of them.
    """
    if (ROOT / place).parent.joinpath(name).exists() or (ROOT / name).exists():
        return True
    return place == "DEVELOPERS.md" and all((ROOT / app / name).exists() for app in APPS)


@for_each(FOR_DEVELOPERS)
def test_every_file_and_folder_that_is_named_is_there(place):
    named = {
        found
        for text in quoted(DOCS[place])
        if not text.startswith(("/", "BENCHRIGHT_HOME"))
        for found in (*FILE.findall(text), *FOLDER.findall(text))
    }
    assert [name for name in sorted(named - MADE) if not there(place, name)] == []


def slugs(text):
    """The anchors of a document's headings."""
    titles = re.findall(r"^#+ (.+)$", text, re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", title.lower()).replace(" ", "-") for title in titles}


@for_each(sorted(DOCS))
def test_every_link_leads_somewhere(place):
    for found in re.findall(r"(?<!!)\[[^\]]*\]\(([^)\s]+)\)", DOCS[place]):
        name, _, anchor = found.partition("#")
        target = (ROOT / place).parent.joinpath(name).resolve() if name else ROOT / place
        assert target.exists(), found
        if anchor:
            assert anchor in slugs(target.read_text(encoding="utf-8")), found


SOURCES = [
    path
    for part in (*APPS, "fixtures", "manage.py", "pyproject.toml", ".ci")
    for path in [ROOT / part, *(ROOT / part).rglob("*")]
    if path.suffix in (".py", ".html", ".js", ".css", ".toml", ".yaml", ".svg")
    or path.name == "run"
]
WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
SAID = {
    word for path in SOURCES if path.is_file() for word in WORD.findall(path.read_text("utf-8"))
} | {path.stem for path in SOURCES}
NAMED = re.compile(r"[A-Za-z_][\w.]*(?:\(.*\))?")


@for_each(FOR_DEVELOPERS)
def test_every_name_that_is_told_stands_in_the_code(place):
    names = {text.partition("(")[0] for text in quoted(DOCS[place]) if NAMED.fullmatch(text)}
    words = {word for name in names - MADE if "." not in name for word in WORD.findall(name)}
    dotted = {
        word
        for name in names
        if "." in name and not FILE.fullmatch(name)
        for word in WORD.findall(name)
    }
    assert sorted((words | dotted) - SAID) == []


# Docstrings, and lines of a comment.
REMARKS = re.compile(r'"""(?s:.*?)"""|(?m:^\s*#.*$)')
NOT_OURS = {"strftime"}  # told as what is not called, and why


def test_every_name_that_a_docstring_or_a_comment_tells_stands_in_the_code():
    texts = {
        path: path.read_text("utf-8")
        for path in SOURCES
        if path.is_file() and path.relative_to(ROOT).parts[0] in APPS
    }
    code = {path.stem for path in texts} | NOT_OURS
    for path, text in texts.items():
        code.update(WORD.findall(REMARKS.sub(" ", text) if path.suffix == ".py" else text))
    gone = [
        (path.relative_to(ROOT).as_posix(), name)
        for path, text in texts.items()
        if path.suffix == ".py"
        for remark in REMARKS.findall(text)
        for name in quoted(remark)
        if NAMED.fullmatch(name) and not code.issuperset(WORD.findall(name.partition("(")[0]))
    ]
    assert gone == []


@for_each(sorted(DOCS))
def test_every_script_that_is_shown_is_there(place):
    for name in re.findall(r"python -m (tests[\w.]*)", DOCS[place]):
        assert (ROOT / f"{name.replace('.', '/')}.py").is_file(), name


def rows():
    """The rows of the table that says where to change what: what, where, and by which tests."""
    table = MAP.partition("## What you want to change")[2].partition("\n## ")[0]
    cells = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in table.splitlines()
        if line.startswith("| ")
    ]
    return cells[1:]


def test_the_table_has_a_row_for_whatever_somebody_is_likely_to_change():
    assert len(rows()) >= 15
    assert all(len(row) == 3 for row in rows())
    told = " / ".join(what for what, *_ in rows())
    for what in (
        "rule of standing",
        "term of a level",
        "kind of question",
        "column that the record book keeps",
        "page",
        "permission",
        "setting",
        "command",
        "demand of the shop's rules",
        "proofing rule",
        "drawing",
        "write-up of the demo",
        "sentence people read",
        "the look",
        "migration of a sealed table",
        "what `bring` reads",
    ):
        assert what in told


@for_each(map(tuple, rows()))
def test_a_row_of_the_table_opens_a_file_and_names_tests(what, opened, held):
    assert quoted(opened)
    assert all((ROOT / name).is_file() for name in quoted(opened))
    assert quoted(held)
    for name in quoted(held):
        tree = ast.parse((ROOT / name).read_text(encoding="utf-8"))
        assert any(
            isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
            for node in ast.walk(tree)
        ), name


def test_every_folder_of_the_house_is_there():
    ((_, house),) = examples(MAP)
    app = ""
    for line in house.splitlines():
        indent, name = re.match(r"( *)([a-z]+)/", line).groups()
        app = app if indent else name
        assert (ROOT / app / (name if indent else "")).is_dir(), line


def test_every_example_is_run_somewhere():
    told = {(place, language) for place in DOCS for language, _ in examples(DOCS[place])}
    assert told == set(RUN_BY), "name the test that runs the example"
    for test in RUN_BY.values():
        name, _, begins = test.partition("::")
        text = (ROOT / "tests" / "architecture" / name).read_text(encoding="utf-8")
        assert f"def {begins}" in text


def test_the_words_of_the_house_are_told_in_one_place_each_once():
    table = DOCS["training/README.md"].partition("## The house's words")[2].partition("\n## ")[0]
    words = [line.split("|")[1].strip() for line in table.splitlines() if line.startswith("| ")]
    told = [word for row in words[1:] for word in row.split(", ")]
    assert len(told) == len(set(told)) >= 35
