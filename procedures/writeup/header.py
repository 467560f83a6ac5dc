"""What does the header of a write-up say?"""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from yaml.nodes import Node

from procedures.writeup.grammar import ASKS, HEADER, LISTS, BadCondition, parted, read_condition
from procedures.writeup.model import Exclusion, Fault, Variant
from procedures.writeup.names import plain
from procedures.writeup.plain_yaml import OF_A_HEADER, BadYaml, entries, read_mapping, word, words
from procedures.writeup.sections import RULER, Sheet

Values = dict[str, Any]


class HeaderReader:
    """Reads one header: `values` for the model by its own names, `lines` and `faults`."""

    def __init__(self) -> None:
        self.values: Values = {}
        self.lines: dict[str, tuple[int, ...]] = {}
        self.faults: list[Fault] = []

    def fault(self, about: str, line: int, message: str) -> None:
        self.faults.append(Fault("bad-header", "error", None, about, line, message))

    def read(self, sheet: Sheet) -> None:
        """Read the header of a text; what can't be read is left out and becomes a fault."""
        if not sheet.closed:
            self.fault(RULER, 1, "The header has no end. Write a line with --- below it.")
        elif sheet.header is None:
            self.fault(
                "title",
                1,
                "There is no header. Start the text with a line ---, a title and another line ---.",
            )
        else:
            self._entries(sheet.header)

    def _entries(self, header: str) -> None:
        try:
            found = read_mapping(header, OF_A_HEADER)
        except BadYaml as bad:
            self.fault(RULER, bad.line + 1, f"The header cannot be read. {bad.message}")
            return
        seen: set[str] = set()
        for key, line, node in found:
            if key in seen:
                self.fault(key, line + 1, f"“{key}” stands in the header twice. Keep one of them.")
            elif key not in HEADER:
                self.fault(
                    key,
                    line + 1,
                    f"“{key}” is no key of the header. Known are {', '.join(sorted(HEADER))}.",
                )
            else:
                self._entry(key, line + 1, node)
            seen.add(key)
        if "title" not in seen:
            self.fault(
                "title", 1, "The header has no title. Write title: and what the write-up is called."
            )

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
            self.fault(key, line, f"“{key}” cannot be read. {bad.message}")

    def _text(self, key: str, line: int, node: Node) -> None:
        text = word(node)
        if key == "asks" and text not in ASKS:
            raise BadYaml(f"It is one of {', '.join(ASKS)}.")
        if key == "released" and not _is_day(text):
            raise BadYaml("It is a day such as 2026-11-25.")
        if key == "released_at" and not _is_instant(text):
            raise BadYaml(
                "It is a moment with its offset, such as 2026-11-25T15:47:00+01:00 or "
                "2026-11-25T14:47:00Z."
            )
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
                self.fault(shown, where, f"The options of “{shown}” cannot be read. {bad.message}")
                continue
            once = tuple({plain(text): text for text in reversed(given)}.values())[::-1]
            if not shown or plain(shown) in variants or not once:
                self.fault(
                    shown,
                    where,
                    f"“{shown}” needs a name that no other variant has, and at least one option.",
                )
                continue
            if len(once) < len(given):
                self.fault(shown, where, f"“{shown}” has an option twice. Keep one of them.")
            variants[plain(shown)] = Variant(shown, once, where)
        self.values["variants"] = tuple(variants.values())

    def _never(self, key: str, line: int, node: Node) -> None:
        found: list[Exclusion] = []
        for text, line_of in words(node):
            try:
                conditions = tuple(read_condition(part, line_of + 1) for part in parted(text))
            except BadCondition as bad:
                self.fault(text, line_of + 1, str(bad))
            else:
                found.append(Exclusion(conditions, line_of + 1))
        self.values["never"] = tuple(found)


def _is_instant(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None and "T" in text
    except ValueError:
        return False


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
