"""What does each page on the shop's rules show, and what would a change of them do to the write-ups?"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from difflib import SequenceMatcher

from procedures import texts
from procedures.models import ShopRules
from procedures.refused import Refused
from procedures.rehearsal.findings import ERROR
from procedures.rehearsal.walk import rehearse
from procedures.writeup import rules
from procedures.writeup.rules import BadRules, read_rules


@dataclass(frozen=True, slots=True)
class Version:
    """One version of the rules: its number, who kept it and when."""

    number: int
    author: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class RulesPage:
    """The rules in force, and their versions, the newest first."""

    version: int | None
    text: str
    author: str
    recorded_at: datetime | None
    versions: tuple[Version, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a comparison: `mark` is "+" for a new line, "-" for one that is gone, " " for one that stayed."""

    mark: str
    text: str


@dataclass(frozen=True, slots=True)
class VersionPage:
    """One version of the rules beside the one before it."""

    version: Version
    before: int | None
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What a rehearsal says of one released write-up, with whether it is an error."""

    title: str
    message: str
    is_error: bool


@dataclass(frozen=True, slots=True)
class Effect:
    """Findings that the released write-ups would get, and those they would lose; `digest` names exactly this effect."""

    come: tuple[Told, ...]
    go: tuple[Told, ...]
    digest: str

    @property
    def is_silent(self) -> bool:
        """Whether nothing changes for any released write-up."""
        return not self.come and not self.go


def rules_page() -> RulesPage:
    """The shop's rules as they are in force; one query."""
    rows = list(ShopRules.objects.select_related("author").order_by("-pk"))
    if not rows:
        return RulesPage(None, "", "", None, ())
    versions = tuple(map(_version, rows))
    return RulesPage(rows[0].pk, rows[0].text, versions[0].author, rows[0].recorded_at, versions)


def version_page(row: ShopRules) -> VersionPage:
    """This version, line by line beside the one before it."""
    before = ShopRules.objects.filter(pk__lt=row.pk).last()
    return VersionPage(_version(row), before.pk if before else None, tuple(compared(before.text if before else "", row.text)))


def compared(old: str, new: str) -> Iterator[Line]:
    """Both texts line by line: what stayed, what is gone, what is new."""
    one, other = old.splitlines(), new.splitlines()
    for what, i, j, k, m in SequenceMatcher(None, one, other, autojunk=False).get_opcodes():
        if what == "equal":
            yield from (Line(" ", line) for line in one[i:j])
        else:
            yield from (Line("-", line) for line in one[i:j])
            yield from (Line("+", line) for line in other[k:m])


def effect_of(text: str) -> Effect:
    """What these rules in place of those in force would change for the released write-ups. Raises Refused for a bad text."""
    try:
        new = read_rules(text)
    except BadRules as fault:
        raise Refused(str(fault)) from fault
    now, then = _all_told(texts.rules_in_force()), _all_told(new)
    come = tuple(told for told in then if told not in now)
    go = tuple(told for told in now if told not in then)
    digest = hashlib.sha256(repr((text, come, go)).encode()).hexdigest()
    return Effect(come, go, digest)


def _all_told(in_force: rules.ShopRules) -> tuple[Told, ...]:
    current = {name: texts.parsed(text) for name, text in texts.current_texts().items()}
    return tuple(
        Told(writeup.title, finding.message, finding.level == ERROR)
        for name, writeup in current.items()
        for finding in rehearse(writeup, in_force, others={other: its for other, its in current.items() if other != name})
    )


def _version(row: ShopRules) -> Version:
    return Version(row.pk, str(row.author) if row.author else "", row.recorded_at)
