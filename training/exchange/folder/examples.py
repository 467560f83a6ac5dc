"""Which examples can a new shop begin with, and how do those that its owner chooses come in?

The examples are the demo shop's own levels, rules and write-ups, never its people. They come in as
a delivery does, all or nothing; what the shop has of the same name stays as it is.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext

from procedures.actions.examples import mark_example
from procedures.models import Thing, WriteUp
from procedures.records import texts
from procedures.records.refused import Refused
from training.access import acts
from training.actions.levels import ask_for_writeups
from training.exchange.folder.bring import Brought, bring
from training.exchange.folder.csv_rows import Rows
from training.exchange.folder.delivery import BroughtExample, Delivery
from training.exchange.folder.read import read_rows
from training.models import Level, User
from training.records.clock import moment


@dataclass(frozen=True, slots=True)
class ExampleLevel:
    """A level of the demo: its row of levels.csv by column, and the names in it."""

    name: str
    title: str
    row: tuple[tuple[str, str], ...]
    earlier: tuple[str, ...]
    writeups: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ExampleWriteUp:
    """The newest revision of a write-up of the demo."""

    name: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class Examples:
    """All that can be chosen. Nothing where the program was installed without its examples."""

    levels: tuple[ExampleLevel, ...] = ()
    rules: str = ""
    writeups: tuple[ExampleWriteUp, ...] = ()


@dataclass(frozen=True, slots=True)
class InShop:
    """What the shop has already: an example of the same name is not offered again."""

    levels: frozenset[str]
    writeups: frozenset[str]
    has_rules: bool


@dataclass(frozen=True, slots=True)
class Chosen:
    """What an owner ticked, by name."""

    levels: Collection[str] = ()
    writeups: Collection[str] = ()
    rules: bool = False


@dataclass(frozen=True, slots=True)
class ExamplesIn:
    """What came in, and the titles of what was left as it is, because the shop has one of that
    name; and each level that was there before with the titles of the write-ups that it asks for
    now too.
    """

    brought: Brought
    there: tuple[str, ...]
    asking: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def is_new(self) -> bool:
        """Whether anything came in."""
        return bool(self.brought.counts)


@lru_cache(maxsize=1)
def find_examples() -> Examples:
    """The examples as they lie beside the program; read once."""
    folder = Path(settings.BASE) / "fixtures"
    if not (folder / "rules.yaml").is_file():
        return Examples()
    # Here and not above: the made-up years are no part of an installed site.
    from fixtures.years import LEVEL_COLUMNS, level_rows

    newest: dict[str, tuple[int, Path]] = {}
    for path in (folder / "writeups").glob("*.md"):
        name, _, number = path.name.removesuffix(".md").partition(".r")
        newest[name] = max(newest.get(name, (0, path)), (int(number or 1), path))
    found = []
    for name, (_, path) in sorted(newest.items()):
        text = path.read_text(encoding="utf-8")
        found.append(ExampleWriteUp(name, texts.parse_once(text).title, text))
    return Examples(
        levels=tuple(
            _level(dict(zip(LEVEL_COLUMNS.split(), row, strict=True))) for row in level_rows()
        ),
        rules=(folder / "rules.yaml").read_text(encoding="utf-8"),
        writeups=tuple(sorted(found, key=lambda one: one.title)),
    )


def _level(row: dict[str, str]) -> ExampleLevel:
    names = (tuple(filter(None, row[column].split(";"))) for column in ("earlier", "writeups"))
    return ExampleLevel(row["level"], row["title"], tuple(row.items()), *names)


def names_in_shop() -> InShop:
    """The names that are taken; three queries."""
    return InShop(
        levels=frozenset(Level.objects.values_list("name", flat=True)),
        writeups=frozenset(WriteUp.objects.values_list("name", flat=True)),
        has_rules=texts.newest_rules() is not None,
    )


@transaction.atomic
def bring_examples(chosen: Chosen, *, by: User, now: datetime | None = None) -> ExamplesIn:
    """The chosen examples, in the shop with their marks. Raises Refused for somebody who does not
    own the shop and where nothing was chosen, Faulty where the records would not take it.
    """
    acts.KEEP_LEVELS.check(by)
    if not (chosen.levels or chosen.writeups or chosen.rules):
        raise Refused(gettext("Tick what you want to begin with."))
    # The lock of `moment` comes first: what is there is then not changed by somebody else.
    now, known = moment(now), find_examples()
    there = names_in_shop()
    levels = [one for one in known.levels if one.name in chosen.levels]
    writeups = [one for one in known.writeups if one.name in chosen.writeups]
    new_levels = [one for one in levels if one.name not in there.levels]
    delivery = Delivery(
        rules=known.rules if chosen.rules and not there.has_rules else None,
        examples=[
            BroughtExample(one.name, one.text, by)
            for one in writeups
            if one.name not in there.writeups
        ],
    )
    _add_levels(delivery, new_levels, there, by.workshop.day_of(now))
    brought = bring(delivery, now=now)
    for level in new_levels:
        mark_example(thing=Thing.LEVEL, name=level.name, text="", by=by, now=now)
    if delivery.rules is not None:
        mark_example(thing=Thing.RULES, name="", text="", by=by, now=now)
    left = [one.title for one in levels if one.name in there.levels]
    left += [one.title for one in writeups if one.name in there.writeups]
    left += [gettext("the rules for safe work")] if chosen.rules and there.has_rules else []
    asking = _link_levels(delivery, there, by, now)
    return ExamplesIn(brought, tuple(left), asking)


def _link_levels(
    delivery: Delivery, there: InShop, by: User, now: datetime
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The levels that the shop had before ask for those of the new write-ups that the example of
    the same name asks for: whichever came first, level and write-up know of each other.
    """
    new = {one.writeup for one in delivery.examples}
    titles = {one.name: one.title for one in find_examples().writeups}
    told = []
    for example in find_examples().levels:
        level = Level.objects.filter(name=example.name).first()
        if level is None or example.name not in there.levels or not new & {*example.writeups}:
            continue
        names = [name for name in example.writeups if name in new]
        try:
            rules = ask_for_writeups(level=level, writeups=names, by=by, now=now)
        except Refused:
            continue  # it has no rules yet, so that it asks for nothing
        told.append((rules.title, tuple(titles[name] for name in names)))
    return tuple(told)


def _add_levels(
    delivery: Delivery, new: Collection[ExampleLevel], there: InShop, today: date
) -> None:
    """The levels go through the cells of a file, so that they are read and checked as those are.
    What a level names and the shop will not have is left out of it.
    """
    if not new:
        return
    may_name = {*there.levels, *(one.name for one in new)}
    at_hand = {*there.writeups, *(one.writeup for one in delivery.examples)}
    rows = [
        dict(one.row)
        | {
            "earlier": ";".join(name for name in one.earlier if name in may_name),
            "writeups": ";".join(name for name in one.writeups if name in at_hand),
            # Nobody is out of practice for jobs that nobody wrote down before today.
            "practice_from": today.isoformat(),
        }
        for one in new
    ]
    lines = ((number, list(row.values())) for number, row in enumerate(rows, 2))
    read_rows("levels.csv", "levels.csv", lambda: Rows(1, list(rows[0]), lines), delivery)
