"""What is on record in a shop: its people, the rules of its levels, and every entry that a standing
rests on?

All rows are plain values. Days are days of the workshop's time zone; `recorded_at` is an aware
instant. `naming.py` says by which name an entry is told. What a shop has by the hundred thousand is
a named tuple, which is made in a quarter of the time of a dataclass.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeVar

from training.standing.shelf import Shelf, put_on_shelf
from training.standing.terms import Terms

# An Asking asks this module: a circle at import time.
if TYPE_CHECKING:
    from training.standing.entitlement import Asking

AsksWord = Literal["nothing", "read again", "answer again", "show again"]
VoidKind = Literal["signoff", "job", "reading", "pass", "observation"]
Limits = tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Person:
    """One of the shop's people; without a first or last day there is no bound on that side. The
    trade is what they do at the bench (`owner`: an owner who does no bench work), and `owner`
    whether they own the shop: neither changes a standing.
    """

    login: str
    name: str
    workshop: str
    trade: str
    started: date | None
    left: date | None
    owner: bool = False

    @property
    def is_senior_or_owner(self) -> bool:
        """Whether they may be asked to watch work and to sign for it, where they are entitled."""
        return self.owner or self.trade == "senior"


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelRules(Terms):
    """One version of what a level asks for, in force from `from_day` (None: from the beginning)."""

    level: str
    from_day: date | None = None


@dataclass(frozen=True, slots=True)
class RevisionFact:
    """That a revision of a write-up was released, and what it asks of those who were signed off
    before.

    `released_at` is the instant, where it is known; it orders a release and an entry of the same
    day.
    """

    writeup: str
    number: int
    released: date
    asks: AsksWord
    # None for one brought in from paper: then the order of its day is in doubt, and counts against.
    released_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Appointment:
    """That a person may sign off a level, from the first to the last day (None: with no end), both
    included.

    `ends` are its early ends: the new last day of each, and the instant from which it is known.
    """

    person: str
    level: str
    by: str
    first: date
    until: date | None
    recorded_at: datetime
    # Each with its own instant: asked as known earlier, the appointment still runs as it did then.
    ends: tuple[tuple[date, datetime], ...] = ()


class Reading(NamedTuple):
    """That a person has studied one revision."""

    person: str
    writeup: str
    revision: int
    on: date
    recorded_at: datetime


class Passing(NamedTuple):
    """One finished sitting of a level's quiz, whether it ended as passed or not."""

    person: str
    level: str
    on: date
    percent: Decimal
    critical_right: bool
    recorded_at: datetime
    # It changes no verdict: a pass on paper is only told by another name than a sitting.
    on_paper: bool = False


class Job(NamedTuple):
    """One service done on one fork or shock, alone or watched by somebody.

    `counts_from` is the instant from which it counts: its own recording, for a watched one the
    watcher's confirmation. None for one that nobody has confirmed, or that the watcher refused.
    """

    person: str
    level: str
    on: date
    watched_by: str | None
    variant: tuple[tuple[str, str], ...]
    came_back: bool
    recorded_at: datetime
    counts_from: datetime | None
    late: int = 0
    """How many days later it was written down, where those are more than people may enter it by
    themselves.
    """
    taken_back_at: datetime | None = None
    """The instant from which it is known never to have counted."""


class Observation(NamedTuple):
    """One job that an observer held against the check sheet of a write-up.

    `writeup` is that write-up (empty: none was named), `named_level` the level that its header
    names.
    """

    person: str
    level: str
    on: date
    observer: str
    right: bool
    recorded_at: datetime
    writeup: str = ""
    named_level: str = ""


class SignOff(NamedTuple):
    """The signed statement that a person may do a level alone; empty limits mean every variant."""

    person: str
    level: str
    on: date
    signer: str
    limits: Limits
    founding: bool
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class StandDown:
    """That a person may not, at one level or (None) at any, from the first day until the day of
    lifting.
    """

    person: str
    level: str | None
    first: date
    by: str
    recorded_at: datetime
    lifted_on: date | None
    # Apart from the day of lifting: until it is recorded nobody knows that the stand-down ends.
    lift_recorded_at: datetime | None


@dataclass(frozen=True, slots=True)
class Void:
    """That each such entry of this person and day, recorded up to the recording of this one, never
    counted.
    """

    kind: VoidKind
    person: str
    about: str
    on: date
    recorded_at: datetime


class NotInShopError(LookupError):
    """Asked about a person or a level that the shop does not have; the message says which."""


Row = TypeVar("Row")
Key = TypeVar("Key", bound=Hashable)


def _filed(rows: Iterable[Row], key: Callable[[Row], Key]) -> dict[Key, list[Row]]:
    files: dict[Key, list[Row]] = {}
    for row in rows:
        files.setdefault(key(row), []).append(row)
    return files


@dataclass(frozen=True, slots=True, eq=False)
class Files:
    """Every row of a shop under the key by which it is looked up; made once for a shop."""

    people: Mapping[str, Person]
    versions: Mapping[str, list[LevelRules]]
    revisions: Mapping[str, list[RevisionFact]]
    appointments: Mapping[tuple[str, str], list[Appointment]]
    readings: Shelf[Reading]
    passings: Shelf[Passing]
    jobs: Shelf[Job]
    observations: Shelf[Observation]
    signoffs: Shelf[SignOff]
    standdowns: Mapping[str, list[StandDown]]
    voids: Mapping[tuple[VoidKind, str, str], list[Void]]


@dataclass(frozen=True, slots=True, eq=False)
class Shop:
    """All that is on record, filed once when it is made. Entries come as tuples or on shelves.
    `options` names each write-up's variants and their options, `titles` the write-ups as people
    call them."""

    people: tuple[Person, ...]
    levels: tuple[LevelRules, ...]
    revisions: tuple[RevisionFact, ...]
    appointments: tuple[Appointment, ...]
    readings: Collection[Reading]
    passings: Collection[Passing]
    jobs: Collection[Job]
    observations: Collection[Observation]
    signoffs: Collection[SignOff]
    standdowns: tuple[StandDown, ...]
    voids: tuple[Void, ...]
    time_zone: str
    options: Mapping[str, Limits]
    titles: Mapping[str, str] = field(default_factory=dict)
    files: Files = field(init=False, repr=False)
    newest: datetime | None = field(init=False, repr=False, default=None)
    """The latest instant that an entry carries, where somebody has said it."""
    askings: dict[object, "Asking"] = field(init=False, repr=False, default_factory=dict)
    """What was worked out for this shop, by the moment of knowledge; `entitlement.py` keeps it."""

    def __post_init__(self) -> None:
        """File the rows."""
        object.__setattr__(self, "files", _files(self))

    def settled_from(self, newest: datetime | None) -> None:
        """Say the latest instant that an entry carries: from it on, all moments of one day know the
        same. A shop that is made from this one by a change does not take it over.
        """
        # `newest` is no argument, so that `replace` loses it: a shop with a further entry has
        # another newest.
        object.__setattr__(self, "newest", newest)


def _files(shop: Shop) -> Files:
    return Files(
        people={person.login: person for person in shop.people},
        versions=_filed(
            # `version_on` takes the last that has begun, and so needs them in the order of their
            # first days.
            sorted(shop.levels, key=lambda rules: rules.from_day or date.min),
            lambda rules: rules.level,
        ),
        revisions=_filed(
            # By number too: two revisions of one day are told in the order in which they were
            # written.
            sorted(shop.revisions, key=lambda row: (row.released, row.number)),
            lambda row: row.writeup,
        ),
        appointments=_filed(shop.appointments, lambda row: (row.person, row.level)),
        readings=put_on_shelf(shop.readings, lambda row: row.writeup),
        passings=put_on_shelf(shop.passings, lambda row: row.level),
        jobs=put_on_shelf(shop.jobs, lambda row: row.level),
        observations=put_on_shelf(shop.observations, lambda row: row.level),
        signoffs=put_on_shelf(shop.signoffs, lambda row: row.level),
        standdowns=_filed(shop.standdowns, lambda row: row.person),
        voids=_filed(shop.voids, lambda row: (row.kind, row.person, row.about)),
    )
