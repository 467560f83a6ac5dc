"""Which values of a draft are still those of the example that it came from?

A value is an amount with a unit of the write-up language, wherever it stands: in a field, inside a
sentence, in a table. It counts as the example's wherever the example has the same amount anywhere:
so a value that was only moved, or whose bolt got another name, is still asked about. One that
happens to be right is asked about too, and somebody confirms it.
"""

import re
from dataclasses import dataclass

from procedures.writeup.amounts import UNITS
from procedures.writeup.parse import parse

MARK = "Demo values. Do not use on a real fork or shock."
"""What an example says of itself; it goes when its values are the shop's own."""

MOST_SHOWN = 160  # letters of the line that a value stands in
_NUMBER = r"[0-9]{1,15}(?:[.,][0-9]{1,15})?"
# Longest first, or “mm” would be read as “m”; a word such as “in” counts beside a number only.
_UNIT = "|".join(re.escape(unit) for unit in sorted(UNITS, key=len, reverse=True))
_VALUE = re.compile(
    rf"(?<![\w.,])[-−]?{_NUMBER}(?: ?± ?{_NUMBER}(?: ?%(?= ?[^\W\d]))?| ?\.\. ?[-−]?{_NUMBER})?"
    rf" ?(?:{_UNIT})(?!\w)(?: ?± ?{_NUMBER} ?%)?"
)
# “2 in the vise”: the inch is written beside its number in fields and brackets, not in a sentence.
_IN = re.compile(r"\bin(?:\s|$)")


@dataclass(frozen=True, slots=True)
class DemoValue:
    """An amount of the example that still stands in the draft: in which step ("" before the first
    one), on which line, and that line. `key` is the amount, however it is spaced.
    """

    step: str
    title: str
    line: int
    key: str
    said: str
    row: str

    @property
    def name(self) -> str:
        """By which a page names it: one amount in one step."""
        return f"{self.step}|{self.key}"


def find_demo_values(text: str, example: str) -> tuple[DemoValue, ...]:
    """The values of a draft that its example has too, each once in a step, from top to bottom."""
    theirs = {key for row in _body(example) for key, _ in _values(row[1])}
    steps = [(step.line, step.id, step.title) for step in parse(text).steps]
    found: dict[tuple[str, str], DemoValue] = {}
    for line, row in _body(text):
        _, step, title = max((one for one in steps if one[0] <= line), default=(0, "", ""))
        for key, said in _values(row):
            if key in theirs:
                shown = row.strip()[:MOST_SHOWN]
                found.setdefault((step, key), DemoValue(step, title, line, key, said, shown))
    return tuple(found.values())


def is_marked_as_demo(text: str) -> bool:
    """Whether the text still says that its values are no values for a real fork."""
    return " ".join(MARK.lower().split()) in " ".join(text.lower().split())


def _body(text: str) -> list[tuple[int, str]]:
    return list(enumerate(text.split("\n"), 1))


def _values(row: str) -> list[tuple[str, str]]:
    """The amounts of a line: in one way of writing them, and as they stand there."""
    found = []
    for match in _VALUE.finditer(row):
        said = match.group().strip()
        if _IN.search(said) and not row[: match.start()].endswith(("[[", ": ")):
            continue
        found.append((_key(said), said))
    return found


def _key(said: str) -> str:
    plain = said.replace(",", ".").replace("−", "-").replace("Nm", "N·m")
    return re.sub(r"\s+", "", plain)
