"""What do the shop's rules say of dangers, guards, words, states, and what a step of a kind
demands?
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from yaml.nodes import Node

from procedures.writeup.demands import Demand, read_demands
from procedures.writeup.names import make_plain
from procedures.writeup.plain_yaml import (
    OF_RULES,
    BadYaml,
    entries,
    lists,
    read_mapping,
    word,
    words,
)
from procedures.writeup.remarks import Remark, Unreadable, remark

KEYS = ("safe", "temporary", "same", "states", "demands")


class BadRules(Unreadable):
    """The rules cannot be read; `line` says where."""

    def __init__(self, why: Remark, line: int) -> None:
        super().__init__(why)
        self.line = line


@dataclass(frozen=True, slots=True)
class ShopRules:
    """`safe`: source of danger -> the fact that makes it safe; `temporary`: facts that must have
    ended; `same`: groups of words; `states`: groups of facts of which at most one holds; `demands`:
    what steps of a kind need or must say."""

    safe: Mapping[str, str] = field(default_factory=dict)
    temporary: tuple[str, ...] = ()
    same: tuple[tuple[str, ...], ...] = ()
    states: tuple[tuple[str, ...], ...] = ()
    demands: tuple[Demand, ...] = ()


def read_rules(text: str) -> ShopRules:
    """The rules that a YAML text states; an empty text states none. Raises BadRules."""
    try:
        found: dict[str, Node] = {}
        for key, line, node in read_mapping(text, OF_RULES):
            if key in found:
                raise BadYaml(remark("yaml-key-twice", key=key), line)
            if key not in KEYS:
                raise BadYaml(remark("unknown-rules-key", key=key, known=tuple(KEYS)), line)
            found[key] = node
        return _read(found)
    except BadYaml as error:
        raise BadRules(error.remark, error.line) from error


def _read(found: Mapping[str, Node]) -> ShopRules:
    same = (
        tuple(tuple(name for name, _ in words(group)) for group in lists(found["same"]))
        if "same" in found
        else ()
    )
    return ShopRules(
        _safe([(source, line, word(fact)) for source, line, fact in entries(found["safe"])])
        if "safe" in found
        else {},
        tuple(name for name, _ in words(found["temporary"])) if "temporary" in found else (),
        same,
        _states([words(group) for group in lists(found["states"])], Meanings(same))
        if "states" in found
        else (),
        read_demands(found["demands"]) if "demands" in found else (),
    )


def _states(
    groups: list[list[tuple[str, int]]], meanings: "Meanings"
) -> tuple[tuple[str, ...], ...]:
    """The groups; a fact, by whatever word, stands in one of them at most."""
    home: dict[str, int] = {}
    for number, group in enumerate(groups):
        for name, line in group:
            # In two groups a fact would clear facts that have nothing to do with each other.
            if home.setdefault(meanings.key(name), number) != number:
                raise BadYaml(remark("fact-in-two-groups", name=name), line)
    return tuple(tuple(name for name, _ in group) for group in groups)


def _safe(pairs: list[tuple[str, int, str]]) -> dict[str, str]:
    """Source -> fact; each source of danger may stand there once, however it is spelled."""
    found: dict[str, str] = {}
    for source, line, fact in pairs:
        # Two facts for one source would leave open which of them makes it safe.
        if make_plain(source) in {make_plain(name) for name in found}:
            raise BadYaml(remark("source-twice", source=source), line)
        found[source] = fact
    return found


class Meanings:
    """One key for each fact and part, however it is spelled and whichever word of a group is
    used.
    """

    def __init__(self, same: tuple[tuple[str, ...], ...]) -> None:
        self._first: dict[str, str] = {}
        for group in same:
            names = [make_plain(name) for name in group]
            keys = {self._first.get(name, name) for name in names}
            key = min(keys, default="")
            # Groups that share a name join, so every name of a joined group moves to the one key.
            for name in [known for known, its in self._first.items() if its in keys] + names:
                self._first[name] = key

    def key(self, name: str) -> str:
        """What facts and parts are compared by."""
        bare = make_plain(name)
        return self._first.get(bare, bare)
