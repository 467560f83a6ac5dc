"""What does the header of a write-up say?"""

from collections.abc import Callable
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from yaml.nodes import Node

from procedures.writeup.grammar import (
    ASKS,
    HEADER,
    LISTS,
    BadCondition,
    read_condition,
    split_values,
)
from procedures.writeup.model import Exclusion, Fault, Variant
from procedures.writeup.names import make_plain
from procedures.writeup.plain_yaml import OF_A_HEADER, BadYaml, entries, read_mapping, word, words
from procedures.writeup.remarks import Remark, remark
from procedures.writeup.sections import RULER, Sheet

Values = dict[str, Any]


@lru_cache(maxsize=64)  # most that is read again has the same header: other steps, or nothing new
def _read(header: str) -> list[tuple[str, int, Node]]:
    return read_mapping(header, OF_A_HEADER)


class HeaderReader:
    """Reads one header: `values` for the model by its own names, `lines` and `faults`."""

    def __init__(self) -> None:
        self.values: Values = {}
        self.lines: dict[str, tuple[int, ...]] = {}
        self.faults: list[Fault] = []

    def fault(self, about: str, line: int, said: Remark) -> None:
        self.faults.append(Fault("bad-header", "error", None, about, line, said))

    def read(self, sheet: Sheet) -> None:
        """Read the header of a text; what can't be read is left out and becomes a fault."""
        if not sheet.closed:
            self.fault(RULER, 1, remark("header-without-end"))
        elif sheet.header is None:
            self.fault("title", 1, remark("no-header"))
        else:
            self._entries(sheet.header)

    def _entries(self, header: str) -> None:
        try:
            found = _read(header)
        except BadYaml as bad:
            self.fault(RULER, bad.line + 1, remark("header-unreadable", because=bad.remark))
            return
        seen: set[str] = set()
        for key, line, node in found:
            if key in seen:
                self.fault(key, line + 1, remark("header-key-twice", key=key))
            elif key not in HEADER:
                self.fault(
                    key,
                    line + 1,
                    remark("unknown-header-key", key=key, known=tuple(sorted(HEADER))),
                )
            else:
                self._entry(key, line + 1, node)
            seen.add(key)
        if "title" not in seen:
            self.fault("title", 1, remark("no-title"))

    def _entry(self, key: str, line: int, node: Node) -> None:
        readers: dict[str, Callable[[str, int, Node], None]] = {
            "variants": self._variants,
            "never": self._never,
        }
        self.lines[key] = (line,)
        try:
            readers.get(key, self._list if key in LISTS else self._text)(key, line, node)
        except BadYaml as bad:
            del self.lines[key]
            self.fault(key, line, remark("key-unreadable", key=key, because=bad.remark))

    def _text(self, key: str, line: int, node: Node) -> None:
        text = word(node)
        if key == "asks" and text not in ASKS:
            raise BadYaml(remark("not-one-of", known=tuple(ASKS)))
        if key == "released" and not _is_day(text):
            raise BadYaml(remark("no-day"))
        if key == "released_at" and not _is_instant(text):
            raise BadYaml(remark("no-moment"))
        self.values[key] = text

    def _list(self, key: str, line: int, node: Node) -> None:
        found = words(node)
        self.values[key.replace(" ", "_")] = tuple(text for text, _ in found)
        self.lines[key] = tuple(where + 1 for _, where in found)

    def _variants(self, key: str, line: int, node: Node) -> None:
        variants: dict[str, Variant] = {}
        for name, line_of, options in entries(node):
            where, shown = line_of + 1, " ".join(name.split())
            try:
                given = [text for text, _ in words(options)]
            except BadYaml as bad:
                self.fault(
                    shown, where, remark("options-unreadable", name=shown, because=bad.remark)
                )
                continue
            # Backwards, so that of two spellings of one option the first is the one that is kept.
            once = tuple({make_plain(text): text for text in reversed(given)}.values())[::-1]
            if not shown or make_plain(shown) in variants or not once:
                self.fault(shown, where, remark("bad-variant", name=shown))
                continue
            if len(once) < len(given):
                self.fault(shown, where, remark("option-twice", name=shown))
            variants[make_plain(shown)] = Variant(shown, once, where)
        self.values["variants"] = tuple(variants.values())

    def _never(self, key: str, line: int, node: Node) -> None:
        found: list[Exclusion] = []
        for text, line_of in words(node):
            try:
                conditions = tuple(read_condition(part, line_of + 1) for part in split_values(text))
            except BadCondition as bad:
                self.fault(text, line_of + 1, bad.remark)
            else:
                found.append(Exclusion(conditions, line_of + 1))
        self.values["never"] = tuple(found)


def _is_instant(text: str) -> bool:
    try:
        # Python takes any sign between day and time; ISO 8601 has a T.
        return datetime.fromisoformat(text).tzinfo is not None and "T" in text
    except ValueError:
        return False


def _is_day(text: str) -> bool:
    try:
        # Python also reads 20261125 and 2026-W48-3; one form only, so that texts compare.
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
