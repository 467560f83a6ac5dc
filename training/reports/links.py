"""Which write-up belongs to which level, and where do the two not know of each other?

A write-up names its level in its head, and a level's rules name what people must have read. An
observation counts for the level that the write-up names; a reading counts for the level that asks
for it. So both have to say the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext

from procedures.models import Revision, WriteUp
from procedures.records.texts import parse_once
from training.records.gathering import rules_of_levels
from training.standing.evidence import LevelRules
from training.standing.levels import version_on


@dataclass(frozen=True, slots=True)
class LevelLink:
    """One write-up: the level that it names, the levels that ask for it, and what does not fit.
    `to_ask` is the level that should ask for it and does not.
    """

    writeup: str
    title: str
    level: str
    asking: tuple[str, ...]
    faults: tuple[str, ...]
    to_ask: str


@dataclass(frozen=True, slots=True)
class LevelLinks:
    """Every write-up with its levels, and what of a level no write-up answers."""

    writeups: tuple[LevelLink, ...]
    of_levels: tuple[str, ...]

    @property
    def is_silent(self) -> bool:
        """Whether all fits."""
        return not self.of_levels and not any(link.faults for link in self.writeups)


def level_links(on: date) -> LevelLinks:
    """How write-ups and levels know of each other on a day, by the current revisions and the rules
    in force; three queries.
    """
    titles, asked = _levels_on(on)
    current = Revision.objects.current(on).select_related("writeup").order_by("writeup__title")
    named = {row.writeup.name: (row.writeup.title, parse_once(row.text).level) for row in current}
    links = tuple(
        _link(name, title, level, titles, asked) for name, (title, level) in named.items()
    )
    return LevelLinks(links, tuple(_faults_of_levels(titles, asked, named)))


def tell_level_faults(revision: Revision, on: date) -> tuple[str, ...]:
    """What does not fit between this revision of a write-up and the levels, in sentences."""
    titles, asked = _levels_on(on)
    name, level = revision.writeup.name, parse_once(revision.text).level
    return _link(name, revision.writeup.title, level, titles, asked).faults


def _levels_on(day: date) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
    """The title of each level on a day, and the write-ups that it asks for; one query."""
    versions: dict[str, list[LevelRules]] = {}
    for rules in rules_of_levels():
        versions.setdefault(rules.level, []).append(rules)
    held = {
        # As the standing files them: by their first days, of one day the newest last.
        name: version_on(sorted(its, key=lambda rules: rules.from_day or date.min), day)
        for name, its in versions.items()
    }
    return (
        {name: rules.title for name, rules in held.items()},
        {name: rules.writeups for name, rules in held.items()},
    )


def _link(
    name: str, title: str, level: str, titles: dict[str, str], asked: dict[str, tuple[str, ...]]
) -> LevelLink:
    asking = tuple(titles[one] for one in titles if name in asked[one])
    faults, to_ask = [], ""
    if level and level not in titles:
        told = gettext(
            "It names the level “{level}”, which is not there. Add the level, or choose another "
            "one in the head of the write-up."
        )
        faults.append(told.format(level=level))
    elif level and name not in asked[level]:
        to_ask = level
        told = gettext("{level} does not ask people to read it.")
        faults.append(told.format(level=titles[level]))
    elif not level and not asking:
        faults.append(gettext("It names no level, and no level asks for it."))
    return LevelLink(name, title, titles.get(level, level), asking, tuple(faults), to_ask)


def _faults_of_levels(
    titles: dict[str, str], asked: dict[str, tuple[str, ...]], named: dict[str, tuple[str, str]]
) -> list[str]:
    """What a level asks for and nobody can do: read what is not released, be observed by no
    write-up.
    """
    known = dict(WriteUp.objects.values_list("name", "title"))
    unreleased = gettext("{level} asks for “{writeup}”, of which no revision is released.")
    unnamed = gettext("No released write-up names {level}, so no observation can count for it.")
    faults = [
        unreleased.format(level=titles[level], writeup=known.get(name, name))
        for level, names in asked.items()
        for name in names
        if name not in named
    ]
    levels = {level for _, level in named.values()}
    return faults + [
        unnamed.format(level=title) for name, title in titles.items() if name not in levels
    ]
