"""Which regular expressions does the site have, how is each used, and which texts are worst for
it?
"""

import ast
import importlib
import itertools
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path
from re import _constants as code  # type: ignore[attr-defined]
from re import _parser as parser  # type: ignore[attr-defined]
from types import ModuleType
from typing import Any

APPS = ("procedures", "quizzes", "training")
TOP = Path(__file__).resolve().parents[2]
LOOKS = {"search", "match", "fullmatch", "finditer", "findall", "sub", "subn", "split"}
LOOKS_IN_TEXT = re.compile(rf"\.(?:{'|'.join(LOOKS)})\b")


def sources() -> list[Path]:
    """Every module of the site but the migrations."""
    return sorted(
        path for app in APPS for path in (TOP / app).rglob("*.py") if "migrations" not in path.parts
    )


def in_functions() -> Iterator[tuple[str, str, ast.Call]]:
    """Each `re.…()` call inside a function: the file, the function, the call."""
    for path in sources():
        text = path.read_text(encoding="utf-8")
        if not re.search(r"\bre\.\w+\(", text):
            continue  # most modules: reading them all as trees takes seconds
        for function in ast.walk(ast.parse(text)):
            if isinstance(function, ast.FunctionDef):
                for call in ast.walk(function):
                    if _is_re(call):
                        yield str(path.relative_to(TOP)), function.name, call


def _is_re(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and isinstance(node.func.value, ast.Name)
        and node.func.value.id == "re"
        and node.func.attr in {*LOOKS, "compile"}
    )


def literal(call: ast.Call) -> str:
    """The pattern of a call where it is written there as a whole; else nothing."""
    given = call.args[0] if call.args else None
    return given.value if isinstance(given, ast.Constant) and isinstance(given.value, str) else ""


def modules() -> Iterator[ModuleType]:
    """Every module of the site, imported."""
    for app in APPS:
        package = importlib.import_module(app)
        for found in pkgutil.walk_packages(package.__path__, f"{app}."):
            if ".migrations" not in found.name and not found.name.endswith((".wsgi", ".settings")):
                yield importlib.import_module(found.name)


def compiled() -> dict[str, re.Pattern[str]]:
    """Every pattern that a module holds, also in its tables, by where it stands; each once."""
    found: dict[tuple[str, int], tuple[str, re.Pattern[str]]] = {}
    for module in modules():
        for name, value in vars(module).items():
            for where, pattern in _within(value, name, 0):
                if isinstance(pattern.pattern, str):
                    found.setdefault(
                        (pattern.pattern, pattern.flags), (f"{module.__name__}.{where}", pattern)
                    )
    return dict(found.values())


def _within(value: Any, where: str, depth: int) -> Iterator[tuple[str, re.Pattern[str]]]:
    if isinstance(value, re.Pattern):
        yield where, value
    elif depth < 4 and isinstance(value, dict):
        for key, one in value.items():
            yield from _within(one, f"{where}[{key}]", depth + 1)
    elif depth < 4 and isinstance(value, list | tuple | set | frozenset):
        for place, one in enumerate(value):
            yield from _within(one, f"{where}[{place}]", depth + 1)
    elif depth < 4 and hasattr(value, "__dataclass_fields__") and not isinstance(value, type):
        for key in value.__dataclass_fields__:
            yield from _within(getattr(value, key, None), f"{where}.{key}", depth + 1)


def uses() -> dict[str, set[str]]:
    """With which methods a name is looked with anywhere in the site: search (everywhere in a text),
    match or fullmatch.
    """
    found: dict[str, set[str]] = {}
    for path in sources():
        text = path.read_text(encoding="utf-8")
        if not LOOKS_IN_TEXT.search(text):
            continue  # as above
        for call in ast.walk(ast.parse(text)):
            if (
                isinstance(call, ast.Call)
                and isinstance(call.func, ast.Attribute)
                and call.func.attr in LOOKS
            ):
                name = (
                    call.func.value.value
                    if isinstance(call.func.value, ast.Subscript)
                    else call.func.value
                )
                if isinstance(name, ast.Name | ast.Attribute):
                    key = name.id if isinstance(name, ast.Name) else name.attr
                    found.setdefault(key, set()).add(way(call.func.attr))
    return found


def way(method: str) -> str:
    return method if method in {"match", "fullmatch"} else "search"


def seeds(pattern: re.Pattern[str]) -> Iterator[tuple[str, str]]:
    """Beginnings and units to repeat, made of what the pattern itself looks for."""
    pieces: set[str] = set()
    pieces.update(_read(parser.parse(pattern.pattern, pattern.flags), pieces))
    short = sorted(
        (piece for piece in pieces if 0 < len(piece) <= 12), key=lambda piece: (len(piece), piece)
    )
    yield from (("", piece) for piece in sorted(pieces) if 0 < len(piece) < 60)
    few = short[:5]
    yield from (("", first + second) for first, second in itertools.permutations(few, 2))
    yield from (
        (first, second)
        for first, second in itertools.product([*short[:10], *short[-4:]], few)
        if first != second
    )


def _read(tree: Any, pieces: set[str]) -> list[str]:
    """A few texts that a part of a pattern matches; every part's own are added to `pieces`."""
    whole = [""]
    for kind, given in tree:
        found = _one(kind, given, pieces) or [""]
        pieces.update(found)
        whole = [before + after for before in whole[:3] for after in found[:3]]
        pieces.update(whole[:4])
    return whole[:6]


def _one(kind: Any, given: Any, pieces: set[str]) -> list[str]:
    if kind == code.LITERAL:
        return [chr(given)]
    if kind == code.NOT_LITERAL:
        return [letter for letter in "a 0" if ord(letter) != given][:2]
    if kind == code.ANY:
        return ["a", " "]
    if kind == code.IN:
        return [letter for letter in _letters(given) if _fits(given, letter)][:4]
    if kind in (code.MAX_REPEAT, code.MIN_REPEAT, code.POSSESSIVE_REPEAT):
        return [one * max(1, min(given[0], 30)) for one in _read(given[2], pieces)]
    if kind == code.SUBPATTERN:
        return _read(given[3], pieces)
    if kind == code.ATOMIC_GROUP:
        return _read(given, pieces)
    if kind == code.BRANCH:
        return [one for branch in given[1][:60] for one in _read(branch, pieces)[:2]]
    return [""]


def _letters(given: Any) -> str:
    named = "".join(
        chr(value if kind == code.LITERAL else value[0])
        for kind, value in given
        if kind in (code.LITERAL, code.RANGE)
    )
    return "".join(dict.fromkeys(named + " a0A-.x#\n,_(é*"))


def _fits(given: Any, letter: str) -> bool:
    """Whether a set of letters holds a letter."""
    return re.fullmatch(_as_set(given), letter) is not None


def _as_set(given: Any) -> str:
    names = {
        "CATEGORY_SPACE": r"\s",
        "CATEGORY_NOT_SPACE": r"\S",
        "CATEGORY_DIGIT": r"\d",
        "CATEGORY_NOT_DIGIT": r"\D",
        "CATEGORY_WORD": r"\w",
        "CATEGORY_NOT_WORD": r"\W",
    }
    told = ""
    for kind, value in given:
        if kind == code.NEGATE:
            told += "^"
        elif kind == code.LITERAL:
            told += re.escape(chr(value))
        elif kind == code.RANGE:
            told += f"{re.escape(chr(value[0]))}-{re.escape(chr(value[1]))}"
        elif kind == code.CATEGORY:
            told += names[str(value)]
    return f"[{told}]"
