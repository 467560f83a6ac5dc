"""What does a YAML text say when every scalar is taken as text, and where does it say it?

Every scalar stays a word (`yes`, `off`, `32`), so that nothing an author writes turns into
something else. The library reads; only the limits are ours: what a few lines can make large or
deep (anchors, aliases, tags, deep nesting) is refused as soon as it is met.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TypeAlias

import yaml
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from procedures.writeup.letters import hidden_in
from procedures.writeup.remarks import Remark, Unreadable, remark

_MANY_OPEN = re.compile(r"(?:[\[{]\s*+){12}")  # the reader looks far ahead at each of them


@dataclass(frozen=True, slots=True)
class Limits:
    """How many characters a text may have, and how deep its values may stand in each other."""

    longest: int
    deepest: int


OF_A_HEADER = Limits(20_000, 4)
OF_RULES = Limits(100_000, 6)  # demands stand two levels further in


class BadYaml(Unreadable):
    """The text cannot be read; `line` counts from 1 at the start of the text."""

    def __init__(self, why: Remark, line: int = 1) -> None:
        super().__init__(why)
        self.line = line


@dataclass(frozen=True, slots=True)
class Mapped:
    """A mapping: its values by key, and the line on which each key stands (from 1)."""

    line: int
    values: dict[str, Plain]
    lines: dict[str, int]

    def word(self, key: str) -> str:
        """The value of a key that holds a text, stripped; empty where the key is missing or holds
        something else.
        """
        value = self.values.get(key, "")
        return value.strip() if isinstance(value, str) else ""


Plain: TypeAlias = "str | list[Plain] | Mapped"


class _PlainLoader(yaml.BaseLoader):
    """Knows no types, and refuses what can make a short text large or deep."""

    def __init__(self, text: str, deepest: int) -> None:
        super().__init__(text)
        self._deepest, self._depth = deepest, 0

    def compose_node(self, parent: Node | None, index: object) -> Node | None:
        event = self.peek_event()  # type: ignore[no-untyped-call]
        line = event.start_mark.line + 1
        if getattr(event, "anchor", None) is not None:
            raise BadYaml(remark("yaml-anchor"), line)
        if getattr(event, "tag", None) is not None:
            raise BadYaml(remark("yaml-tag"), line)
        if self._depth >= self._deepest:
            raise BadYaml(remark("yaml-too-deep"), line)
        # Counted here and not in the text: only the library knows where a value begins.
        self._depth += 1
        node: Node | None = super().compose_node(parent, index)  # type: ignore[arg-type]
        self._depth -= 1
        return node


def read_mapping(text: str, limits: Limits) -> list[tuple[str, int, Node]]:
    """Key, line and value of each entry, in order, with keys that stand there twice. Raises
    BadYaml.
    """
    node = _read(text, limits)
    return [] if node is None else entries(node)


def read_plain(text: str, limits: Limits) -> Plain | None:
    """The one document of the text as plain values; None where it is empty. Raises BadYaml."""
    node = _read(text, limits)
    return None if node is None else _plain(node)


def read_root(text: str, limits: Limits) -> Node | None:
    """The one document of the text, with the place of each value; None where it is empty. Raises
    BadYaml.
    """
    return _read(text, limits)


def _read(text: str, limits: Limits) -> Node | None:
    if len(text) > limits.longest:
        raise BadYaml(remark("yaml-too-long", most=limits.longest))
    many = _MANY_OPEN.search(text)
    if many:
        raise BadYaml(remark("yaml-too-deep"), text.count("\n", 0, many.start()) + 1)
    try:
        loader = _PlainLoader(text.removeprefix("\ufeff"), limits.deepest)
        try:
            node: Node | None = loader.get_single_node()
        finally:
            loader.dispose()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise BadYaml(
            remark("no-yaml", problem=error.problem or error.context or ""),
            mark.line + 1 if mark else 1,
        ) from error
    # The library's error about a letter that YAML forbids carries no line.
    except yaml.YAMLError as error:
        raise BadYaml(remark("yaml-odd-letter")) from error
    return node


def entries(node: Node) -> list[tuple[str, int, Node]]:
    """Key, line and value of each entry of a mapping. Raises BadYaml for any other shape."""
    if not isinstance(node, MappingNode):
        raise BadYaml(remark("no-entries"), line_of(node))
    found: list[tuple[str, int, Node]] = []
    for key, value in node.value:
        if not isinstance(key, ScalarNode):
            raise BadYaml(remark("key-no-word"), line_of(key))
        found.append((str(key.value), line_of(key), value))
    return found


def word(node: Node) -> str:
    """The text of a scalar. Raises BadYaml for any other shape and for an empty one."""
    if not isinstance(node, ScalarNode):
        raise BadYaml(remark("list-for-name"), line_of(node))
    text = _text(node).strip()
    if not text:
        raise BadYaml(remark("nothing-written"), line_of(node))
    return text


def words(node: Node) -> list[tuple[str, int]]:
    """Text and line of each item of a list; one scalar is a list of one. Raises BadYaml for any
    other shape.
    """
    if isinstance(node, SequenceNode):
        return [(word(item), line_of(item)) for item in node.value]
    return [(word(node), line_of(node))]


def lists(node: Node) -> list[Node]:
    """The lists in a list of lists. Raises BadYaml for any other shape."""
    if not isinstance(node, SequenceNode) or not all(
        isinstance(item, SequenceNode) for item in node.value
    ):
        raise BadYaml(remark("no-list-of-lists"), line_of(node))
    return list(node.value)


def line_of(node: Node) -> int:
    """The line on which a value begins, from 1."""
    return int(node.start_mark.line) + 1


def _text(node: Node) -> str:
    """What a scalar says; in quotes "\\u202e" is a letter that nobody sees."""
    text = str(node.value)
    if hidden := hidden_in(text.strip()):
        raise BadYaml(remark("hidden-letter", letter=hidden), line_of(node))
    return text


def _plain(node: Node) -> Plain:
    if isinstance(node, SequenceNode):
        return [_plain(child) for child in node.value]
    if isinstance(node, MappingNode):
        values: dict[str, Plain] = {}
        lines: dict[str, int] = {}
        for key, line, value in entries(node):
            if key in values:
                raise BadYaml(remark("yaml-key-twice", key=key), line)
            values[key], lines[key] = _plain(value), line
        return Mapped(line_of(node), values, lines)
    return _text(node)
