"""What does a small YAML text say when every scalar is taken as text, and where does it say it?"""

import re

import yaml
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from procedures.writeup.letters import hidden_in

LONGEST = 20_000
LONGEST_RULES = 100_000
DEEPEST = 4
_MANY_OPEN = re.compile(r"(?:[\[{]\s*+){12}")  # the reader looks far ahead at each of them


class BadYaml(ValueError):
    """The text cannot be read; `line` counts from 1 at the start of the text."""

    def __init__(self, message: str, line: int = 1) -> None:
        super().__init__(message)
        self.message = message
        self.line = line


class _PlainLoader(yaml.BaseLoader):
    """Knows no types, and refuses what can make a short text large or deep: anchors, aliases, tags,
    deep nesting.
    """

    depth = 0
    deepest = DEEPEST

    def compose_node(self, parent: Node | None, index: object) -> Node | None:
        event = self.peek_event()  # type: ignore[no-untyped-call]
        line = event.start_mark.line + 1
        if getattr(event, "anchor", None) is not None:
            raise BadYaml(
                "Names for repeated pieces (& and *) are not read here. Write the piece out.", line
            )
        if getattr(event, "tag", None) is not None:
            raise BadYaml(
                "Type marks (!) are not read here. Everything is text; put such a word in quotes.",
                line,
            )
        if self.depth >= self.deepest:
            raise BadYaml("Lists stand too deep in lists here.", line)
        self.depth += 1
        node: Node | None = super().compose_node(parent, index)  # type: ignore[arg-type]
        self.depth -= 1
        return node


class _DeepLoader(_PlainLoader):
    """The same for the shop's rules, whose demands stand two levels further in."""

    deepest = DEEPEST + 2


def read_rules_mapping(text: str) -> list[tuple[str, int, Node]]:
    """`read_mapping` for the shop's rules, which may be longer and deeper than a header. Raises
    BadYaml.
    """
    return _mapping(text, _DeepLoader, LONGEST_RULES)


def read_mapping(text: str) -> list[tuple[str, int, Node]]:
    """Key, line and value of each entry, in order, with keys that stand there twice. Raises
    BadYaml.
    """
    return _mapping(text, _PlainLoader, LONGEST)


def _mapping(text: str, loader: type[_PlainLoader], longest: int) -> list[tuple[str, int, Node]]:
    if len(text) > longest:
        raise BadYaml(f"This is longer than {longest} characters.")
    many = _MANY_OPEN.search(text)
    if many:
        raise BadYaml("Lists stand too deep in lists here.", text.count("\n", 0, many.start()) + 1)
    try:
        node = yaml.compose(text, Loader=loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise BadYaml(
            f"This is not written as YAML: {error.problem or error.context}.",
            mark.line + 1 if mark else 1,
        ) from error
    except yaml.YAMLError as error:
        raise BadYaml("A character in it cannot be read.") from error
    return [] if node is None else entries(node)


def entries(node: Node) -> list[tuple[str, int, Node]]:
    """Key, line and value of each entry of a mapping. Raises BadYaml for any other shape."""
    if not isinstance(node, MappingNode):
        raise BadYaml("Lines of the form “key: value” belong here.", node.start_mark.line + 1)
    found: list[tuple[str, int, Node]] = []
    for key, value in node.value:
        if not isinstance(key, ScalarNode):
            raise BadYaml("A key must be plain words.", key.start_mark.line + 1)
        found.append((str(key.value), key.start_mark.line + 1, value))
    return found


def word(node: Node) -> str:
    """The text of a scalar. Raises BadYaml for any other shape and for an empty one."""
    if not isinstance(node, ScalarNode):
        raise BadYaml("One name or text belongs here, no list.", node.start_mark.line + 1)
    text = str(node.value).strip()
    if hidden := hidden_in(text):  # in quotes "\u202e" is one
        raise BadYaml(
            f"A letter that nobody sees ({hidden}) stands here. Leave it out.",
            node.start_mark.line + 1,
        )
    if not text:
        raise BadYaml(
            "Nothing is written here. Write a value or leave the line out.",
            node.start_mark.line + 1,
        )
    return text


def words(node: Node) -> list[tuple[str, int]]:
    """Text and line of each item of a list; one scalar is a list of one. Raises BadYaml for any
    other shape.
    """
    if isinstance(node, SequenceNode):
        return [(word(item), item.start_mark.line + 1) for item in node.value]
    return [(word(node), node.start_mark.line + 1)]


def lists(node: Node) -> list[Node]:
    """The lists in a list of lists. Raises BadYaml for any other shape."""
    if not isinstance(node, SequenceNode) or not all(
        isinstance(item, SequenceNode) for item in node.value
    ):
        raise BadYaml(
            "A list of lists belongs here, such as [[air let out, depressurised]].",
            node.start_mark.line + 1,
        )
    return list(node.value)
