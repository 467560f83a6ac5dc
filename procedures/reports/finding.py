"""What do the pages show that look across all write-ups: words found, and what comes before and
after one?
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from procedures.records import texts
from procedures.records.wording.say import say
from procedures.rehearsal.findings import blocks
from procedures.rehearsal.walk import rehearse
from procedures.writeup.model import WriteUp
from procedures.writeup.names import make_plain
from procedures.writeup.search import Hit, find

MOST_HITS = 60


@dataclass(frozen=True, slots=True)
class FindPage:
    """What was asked for, and where it stands; `more` says how many further places are not
    shown.
    """

    asked: str
    hits: tuple[Hit, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A write-up done before or after another: its name and its title."""

    name: str
    title: str


@dataclass(frozen=True, slots=True)
class Around:
    """What a write-up follows, and what follows it."""

    before: tuple[Neighbour, ...]
    after: tuple[Neighbour, ...]


@dataclass(frozen=True, slots=True)
class Misfit:
    """A released write-up that follows a changed one and would not fit it any more, with what its
    rehearsal then says.
    """

    title: str
    messages: tuple[str, ...]


def find_page(asked: str, *, today: date) -> FindPage:
    """Where the words stand in the current revisions; one query."""
    hits = find(asked, _current(today))
    return FindPage(asked, hits[:MOST_HITS], max(0, len(hits) - MOST_HITS))


def find_neighbours(name: str, follows: str, *, today: date) -> Around:
    """What comes before and after this write-up, among the current revisions; one query."""
    current = _current(today)
    before = [
        Neighbour(other, its.title)
        for other, its in current.items()
        if follows and make_plain(other) == make_plain(follows)
    ]
    after = [
        Neighbour(other, its.title)
        for other, its in current.items()
        if make_plain(its.follows) == make_plain(name) and its.follows
    ]
    return Around(tuple(before), tuple(after))


def misfits(name: str, text: str) -> tuple[Misfit, ...]:
    """The released write-ups that follow this one and would not fit it any more with this text."""
    current = _current(None)
    others = {**current, name: texts.parse_once(text)}
    followers = [
        (other, its)
        for other, its in current.items()
        if its.follows and make_plain(its.follows) == make_plain(name)
    ]
    return tuple(
        Misfit(its.title, told)
        for other, its in followers
        if (told := _messages(its, {key: value for key, value in others.items() if key != other}))
    )


def _messages(writeup: WriteUp, others: Mapping[str, WriteUp]) -> tuple[str, ...]:
    found = rehearse(writeup, texts.rules_in_force(), others=others)
    return tuple(
        say(finding.remark)
        for finding in found
        if blocks((finding,)) and finding.code == "follows-not-met"
    )


def _current(today: date | None) -> dict[str, WriteUp]:
    return {name: texts.parse_once(text) for name, text in texts.current_texts(today).items()}
