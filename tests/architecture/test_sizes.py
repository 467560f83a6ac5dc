"""Is every module and function small enough to read?"""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted(
    path
    for app in ("procedures", "quizzes", "training")
    for path in (ROOT / app).rglob("*.py")
    if "migrations" not in path.parts
)


def bodies(tree):
    """Each function with the lines of its body: what it takes and its docstring are not counted."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            told = ast.get_docstring(node, clean=False) is not None and len(node.body) > 1
            first = node.body[1] if told else node.body[0]
            yield node.name, (node.end_lineno or 0) - first.lineno + 1


def what_hinders(path):
    """What keeps somebody from reading a module."""
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    if len(text.splitlines()) > 400:
        yield "more than 400 lines"
    yield from (f"{name} has {lines} lines" for name, lines in bodies(tree) if lines > 40)
    if text.strip() and not (ast.get_docstring(tree) or "").strip():
        yield "the first line does not say what the module answers"


def test_every_module_can_be_read():
    assert len(MODULES) > 600
    assert [f"{path}: {why}" for path in MODULES for why in what_hinders(path)] == []


USUAL = {
    "README",
    "__init__",
    "apps",
    "management",
    "migrations",
    "models",
    "static",
    "templates",
    "urls",
    "views",
}


@pytest.mark.parametrize("app", ["procedures", "quizzes", "training"])
def test_the_top_of_an_app_has_few_rooms(app):
    names = {path.stem for path in (ROOT / app).iterdir() if not path.name.startswith("__pycache")}
    assert len(names - USUAL) <= 8, sorted(names - USUAL)
