"""What do the shop's rules say: what makes a danger safe, what must end, and which words mean the same?"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from procedures.writeup.names import plain
from procedures.writeup.plain_yaml import BadYaml, entries, lists, read_mapping, word, words


class BadRules(ValueError):
    """The rules cannot be read; says where and why in a sentence."""


@dataclass(frozen=True, slots=True)
class ShopRules:
    """`safe`: source of danger -> the fact that makes it safe; `temporary`: facts that must have ended; `same`: groups of words."""

    safe: Mapping[str, str] = field(default_factory=dict)
    temporary: tuple[str, ...] = ()
    same: tuple[tuple[str, ...], ...] = ()


def read_rules(text: str) -> ShopRules:
    """The rules that a YAML text states; an empty text states none. Raises BadRules."""
    safe: dict[str, str] = {}
    temporary: tuple[str, ...] = ()
    same: tuple[tuple[str, ...], ...] = ()
    seen: set[str] = set()
    try:
        for key, line, node in read_mapping(text.removeprefix("\ufeff")):
            if key in seen:
                raise BadYaml(f"“{key}” stands here twice.", line)
            seen.add(key)
            if key == "safe":
                safe = _safe([(source, where, word(fact)) for source, where, fact in entries(node)])
            elif key == "temporary":
                temporary = tuple(name for name, _ in words(node))
            elif key == "same":
                same = tuple(tuple(name for name, _ in words(group)) for group in lists(node))
            else:
                raise BadYaml(f"“{key}” is no key of the rules. Known are safe, temporary and same.", line)
    except BadYaml as error:
        raise BadRules(f"line {error.line}: {error.message}") from error
    return ShopRules(safe, temporary, same)


def _safe(pairs: list[tuple[str, int, str]]) -> dict[str, str]:
    """Source -> fact; each source of danger may stand there once, however it is spelled."""
    found: dict[str, str] = {}
    for source, line, fact in pairs:
        if plain(source) in {plain(name) for name in found}:
            raise BadYaml(f"“{source}” stands under safe twice.", line)
        found[source] = fact
    return found


class Meanings:
    """One key for each fact and part, however it is spelled and whichever word of a group is used."""

    def __init__(self, same: tuple[tuple[str, ...], ...]) -> None:
        self._first: dict[str, str] = {}
        for group in same:
            names = [plain(name) for name in group]
            keys = {self._first.get(name, name) for name in names}
            key = min(keys, default="")
            # Groups that share a name join, so every name of a joined group moves to the one key.
            for name in [known for known, its in self._first.items() if its in keys] + names:
                self._first[name] = key

    def key(self, name: str) -> str:
        """What facts and parts are compared by."""
        bare = plain(name)
        return self._first.get(bare, bare)
