"""What does each page on the shop's rules show, and what would a change of them do to the
write-ups?
"""

import hashlib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from procedures.models import ShopRules
from procedures.records import texts
from procedures.records.refused import Refused
from procedures.records.wording.say import say, say_fault_of_rules
from procedures.rehearsal.findings import ERROR, Finding
from procedures.rehearsal.walk import rehearse
from procedures.writeup import rules
from procedures.writeup.demands import Demand, find_first_met, touches
from procedures.writeup.lined_up import line_up
from procedures.writeup.model import WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.rules import BadRules, Meanings, read_rules


@dataclass(frozen=True, slots=True)
class Version:
    """One version of the rules: its number, who kept it and when."""

    number: int
    author: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class RulesPage:
    """The rules in force, as text and as they are read, and their versions, the newest first."""

    version: int | None
    text: str
    rules: rules.ShopRules
    author: str
    recorded_at: datetime | None
    versions: tuple[Version, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a comparison: `mark` is "+" for a new line, "-" for one that is gone, " " for one
    that stayed.
    """

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
    """What a rehearsal says of one released write-up, with whether it is an error, and the demand
    that asks for it, if one does. `place` are the name of the write-up and the id of the step: a
    title may stand twice, and so may a message.
    """

    title: str
    message: str
    is_error: bool
    place: tuple[str, str | None]
    demand: str = ""

    @property
    def name(self) -> str:
        return self.place[0]


@dataclass(frozen=True, slots=True)
class Unclean:
    """A released write-up that rehearses without an error today and would not any more, and by
    which demands.
    """

    title: str
    demands: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Touch:
    """How many steps of the released write-ups a row of the rules is about, and of which: title and
    number.
    """

    steps: int
    by: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """Findings that the released write-ups would get, and those they would lose; `digest` names
    exactly this effect.
    """

    come: tuple[Told, ...]
    go: tuple[Told, ...]
    unclean: tuple[Unclean, ...]
    tried: int
    digest: str

    @property
    def is_silent(self) -> bool:
        """Whether nothing changes for any released write-up."""
        return not self.come and not self.go


def rules_page() -> RulesPage:
    """The shop's rules as they are in force; one query."""
    rows = list(ShopRules.objects.select_related("author").order_by("-pk"))
    if not rows:
        return RulesPage(None, "", rules.ShopRules(), "", None, ())
    versions = tuple(map(_version, rows))
    return RulesPage(
        rows[0].pk,
        rows[0].text,
        read_rules(rows[0].text),
        versions[0].author,
        rows[0].recorded_at,
        versions,
    )


def version_page(row: ShopRules) -> VersionPage:
    """This version, line by line beside the one before it."""
    before = ShopRules.objects.filter(pk__lt=row.pk).last()
    return VersionPage(
        _version(row),
        before.pk if before else None,
        tuple(compare_texts(before.text if before else "", row.text)),
    )


def compare_texts(old: str, new: str) -> Iterator[Line]:
    """Both texts line by line: what stayed, what is gone, what is new."""
    one, other = old.splitlines(), new.splitlines()
    for what, first, last, start, end in line_up(one, other, rare_only=True):
        if what == "equal":
            yield from (Line(" ", line) for line in one[first:last])
        else:
            yield from (Line("-", line) for line in one[first:last])
            yield from (Line("+", line) for line in other[start:end])


def effect_of(text: str) -> Effect:
    """What these rules in place of those in force would change for the released write-ups. Raises
    Refused for a bad text.
    """
    try:
        new = read_rules(text)
    except BadRules as fault:
        raise Refused(say_fault_of_rules(fault)) from fault
    current = {name: texts.parse_once(text) for name, text in texts.current_texts().items()}
    now, then = _all_told(current, texts.rules_in_force()), _all_told(current, new)
    come = tuple(told for told in then if told not in now)
    go = tuple(told for told in now if told not in then)
    faulty = {told.name for told in now if told.is_error}
    spoilt = {told.name: told.title for told in come if told.is_error and told.name not in faulty}
    unclean = tuple(
        Unclean(
            title,
            tuple(dict.fromkeys(told.demand for told in come if told.name == name and told.demand)),
        )
        for name, title in spoilt.items()
    )
    digest = hashlib.sha256(repr((text, come, go)).encode()).hexdigest()
    return Effect(come, go, unclean, len(current), digest)


def count_touched(
    asked: Sequence[tuple[Demand, ...]], same: tuple[tuple[str, ...], ...]
) -> tuple[Touch, ...]:
    """For each of these (the kinds of steps that one row is about), the steps of the released
    write-ups that it touches; one query.
    """
    key = Meanings(same).key
    current = [texts.parse_once(text) for text in texts.current_texts().values()]
    found = []
    for kinds in asked:
        counts = Counter(
            {each.title: sum(touches(kinds, step, key) for step in each.steps) for each in current}
        )
        found.append(
            Touch(
                counts.total(), tuple((title, number) for title, number in counts.items() if number)
            )
        )
    return tuple(found)


def _all_told(current: Mapping[str, WriteUp], in_force: rules.ShopRules) -> tuple[Told, ...]:
    return tuple(
        Told(
            writeup.title,
            say(finding.remark),
            finding.level == ERROR,
            (name, finding.step),
            _behind(finding, writeup, in_force),
        )
        for name, writeup in current.items()
        for finding in rehearse(
            writeup,
            in_force,
            others={other: its for other, its in current.items() if other != name},
        )
    )


def _behind(finding: Finding, writeup: WriteUp, in_force: rules.ShopRules) -> str:
    """The demand that a finding is about, in its own words; empty for any other finding."""
    if not finding.code.startswith("demand"):
        return ""
    key = Meanings(in_force.same).key
    step = next(step for step in writeup.steps if step.id == finding.step)
    for demand in in_force.demands:
        about = (
            map(key, demand.needs)
            if finding.code == "demand-not-met"
            else map(make_plain, filter(None, [demand.names]))
        )
        if (key if finding.code == "demand-not-met" else make_plain)(
            finding.about
        ) in about and find_first_met(demand, step, key) is not None:
            return "; ".join(f"{field}: {', '.join(names)}" for field, names in demand.when)
    return ""


def _version(row: ShopRules) -> Version:
    return Version(row.pk, str(row.author) if row.author else "", row.recorded_at)
