"""What does a YAML text of questions hold, as plain lists, mappings and words with the line each
began on?

Every scalar stays a word (`yes`, `off`, `32`), so that nothing an author writes turns into
something else. Anchors and aliases are refused, because a few lines of them can grow into
gigabytes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TypeAlias

import yaml

from procedures.writeup.letters import hidden_in

LONGEST = 500_000  # characters; far above a bank of a thousand questions
DEEPEST = 8
_MANY_OPEN = re.compile(r"(?:[\[{]\s*+){12}")  # the reader looks far ahead at each of them
TOO_DEEP = "Lists and mappings stand too deep inside each other here."


class BadYaml(ValueError):
    """The text can't be read; the message says where and what to do."""

    def __init__(self, message: str, line: int = 0) -> None:
        super().__init__(message)
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


def read_plain(text: str) -> Plain:
    """The one document in the text. Raises BadYaml where it can't be read."""
    if len(text) > LONGEST:
        message = (
            f"The text is too long: {len(text)} characters. Split it so that each has at most "
            f"{LONGEST}."
        )
        raise BadYaml(message)
    try:
        _refuse_what_grows(text)
        node = yaml.compose(text.removeprefix("\ufeff"), Loader=yaml.BaseLoader)
    except yaml.MarkedYAMLError as fault:
        line = fault.problem_mark.line + 1 if fault.problem_mark else 0
        raise BadYaml(f"This is not YAML that can be read: {fault.problem}.", line) from fault
    except (yaml.YAMLError, RecursionError) as fault:
        raise BadYaml(
            "This is not YAML that can be read. Look for odd characters and brackets."
        ) from fault
    if node is None:
        message = "The text is empty. Begin with `writeup:` and `questions:`."
        raise BadYaml(message, 1)
    return _plain(node, DEEPEST)


def _refuse_what_grows(text: str) -> None:
    """Stops at the first anchor, and as soon as brackets stand too deep: the reader needs ever
    longer for deeper ones.
    """
    many = _MANY_OPEN.search(text)
    if many:
        raise BadYaml(TOO_DEEP, text.count("\n", 0, many.start()) + 1)
    depth = 0
    for event in yaml.parse(text.removeprefix("\ufeff"), Loader=yaml.BaseLoader):
        depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(
            event, yaml.CollectionEndEvent
        )
        if depth >= DEEPEST:
            raise BadYaml(TOO_DEEP, event.start_mark.line + 1 if event.start_mark else 0)
        if isinstance(event, yaml.NodeEvent) and event.anchor is not None:
            message = (
                "`&` and `*` at the start of a value have a meaning of their own in YAML. Put it "
                "in quotes."
            )
            raise BadYaml(message, event.start_mark.line + 1 if event.start_mark else 0)


def _plain(node: yaml.Node, depth: int) -> Plain:
    line = node.start_mark.line + 1
    if depth == 0:
        raise BadYaml(TOO_DEEP, line)
    if isinstance(node, yaml.SequenceNode):
        return [_plain(child, depth - 1) for child in node.value]
    if isinstance(node, yaml.MappingNode):
        return _mapped(node, depth)
    if hidden := hidden_in(node.value):  # in quotes "\u202e" is one
        raise BadYaml(f"A letter that nobody sees ({hidden}) stands here. Leave it out.", line)
    return str(node.value)


def _mapped(node: yaml.MappingNode, depth: int) -> Mapped:
    values: dict[str, Plain] = {}
    lines: dict[str, int] = {}
    for key_node, value_node in node.value:
        line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            message = "A key must be one word."
            raise BadYaml(message, line)
        key = str(key_node.value)
        if key in values:
            message = f"`{key}` stands here twice. Keep one."
            raise BadYaml(message, line)
        values[key] = _plain(value_node, depth - 1)
        lines[key] = line
    return Mapped(node.start_mark.line + 1, values, lines)
