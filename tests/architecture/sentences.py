"""Which sentences does the site show? `python -m tests.architecture.sentences` prints them all,
sorted by page, for somebody to read aloud; `python -m tests.architecture.sentences WORD` only
those with that word.
"""

import ast
import os
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
APPS = ("procedures", "quizzes", "training")
# How many of a call's first arguments are texts, and the first of them.
CALLS = {
    "_": (0, 1),
    "gettext": (0, 1),
    "gettext_lazy": (0, 1),
    "gettext_noop": (0, 1),
    "ngettext": (0, 2),
    "ngettext_lazy": (0, 2),
    "pgettext": (1, 1),
    "pgettext_lazy": (1, 1),
    "npgettext": (1, 2),
    "npgettext_lazy": (1, 2),
}
# What is said before the settings are there: the catalogue cannot be asked yet (see
# `training/site/environment.py`), and people read it all the same.
BEFORE_SETTINGS = "ImproperlyConfigured"
IN_AN_ARGUMENT = re.compile(r'\b_\("([^"]+)"\)')


@dataclass(frozen=True, order=True)
class Sentence:
    file: str
    line: int
    text: str
    is_counted: bool = False


def sentences() -> list[Sentence]:
    """Every text of templates and code that goes through gettext, in the order of files and lines;
    both numbers of a counted one.
    """
    found: set[Sentence] = set()
    for app in APPS:
        for path in (ROOT / app).rglob("*.html"):
            found.update(_of_template(path))
        for path in (ROOT / app).rglob("*.py"):
            if "migrations" not in path.parts:
                found.update(_of_code(path))
    return sorted(found)


def _of_template(path: Path) -> Iterator[Sentence]:
    from django.template import Template
    from django.templatetags.i18n import BlockTranslateNode, TranslateNode

    source = path.read_text(encoding="utf-8")
    name = str(path.relative_to(ROOT))
    nodes = Template(source).nodelist
    for node in nodes.get_nodes_by_type(TranslateNode):
        text = node.filter_expression.var
        if isinstance(text, str):
            yield Sentence(name, node.token.lineno, text)
        elif text.literal is not None:
            yield Sentence(name, node.token.lineno, str(text.literal))
    for node in nodes.get_nodes_by_type(BlockTranslateNode):
        for tokens in filter(None, (node.singular, node.plural)):
            text, _names = node.render_token_list(tokens)
            shown = " ".join(re.sub(r"%\((\w+)\)s", r"{\1}", text).split())
            counted = bool(node.plural)
            yield Sentence(name, node.token.lineno, shown.replace("%%", "%"), counted)
    for number, line in enumerate(source.splitlines(), 1):
        for text in IN_AN_ARGUMENT.findall(line):
            yield Sentence(name, number, text)


def _of_code(path: Path) -> Iterator[Sentence]:
    name = str(path.relative_to(ROOT))
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        called = node.func.attr if isinstance(node.func, ast.Attribute) else node.func
        called = called.id if isinstance(called, ast.Name) else called
        if called == BEFORE_SETTINGS and node.args:
            yield Sentence(name, node.lineno, _without_values(node.args[0]))
        if called not in CALLS:
            continue
        first, count = CALLS[called]
        for argument in node.args[first : first + count]:
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                shown = re.sub(r"%\((\w+)\)s", r"{\1}", argument.value)
                yield Sentence(name, argument.lineno, " ".join(shown.split()), count == 2)


def _without_values(said: ast.expr) -> str:
    """A text with a name in braces for each value in it."""
    parts = said.values if isinstance(said, ast.JoinedStr) else [said]
    return "".join(
        str(part.value) if isinstance(part, ast.Constant) else "{value}" for part in parts
    )


def _set_up() -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
    django.setup()


def main(words: list[str]) -> None:
    file = ""
    for sentence in sentences():
        if words and not any(word.lower() in sentence.text.lower() for word in words):
            continue
        if sentence.file != file:
            file = sentence.file
            print(f"\n{file}")
        print(f"  {sentence.line:4}  {sentence.text}")


if __name__ == "__main__":
    _set_up()
    main(sys.argv[1:])
