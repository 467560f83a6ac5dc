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


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_can_be_read(path):
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    assert len(text.splitlines()) <= 400
    long = [
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and (node.end_lineno or 0) - node.lineno + 1 > 50
    ]
    assert long == []
    assert not text.strip() or (ast.get_docstring(tree) or "").strip(), (
        "the first line says what the module answers"
    )
