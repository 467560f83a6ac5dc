"""Does the release of a revision break the cover, and on which day would it not?

Two cases are told. *Nobody does anything*: whoever is asked something loses the standing when the
days of grace are over. *Everybody does it at once*: each person reads and sits the quiz on the
first day at work from the release on, and shows it on the first one on which they meet an observer
(both are at work in one workshop), who is a senior and alone at the level on that day without the
release. Who is away too long is late, and is not alone in between. How many an observer can watch
in a day is not limited here; the hours are told beside it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cache
from zoneinfo import ZoneInfo

from training.cover.gaps import DayCover, days_between, gaps, gaps_of_change
from training.cover.rota import Rota, Wanted
from training.standing.calendar import add_days
from training.standing.days import Span, spans
from training.standing.entitlement import Asked, Asking
from training.standing.evidence import Observation, Passing, Reading, RevisionFact, Shop
from training.standing.impact import last_day_looked_at, levels_resting_on, moment_known
from training.standing.question import NOTHING_NAMED
from training.standing.rules.here import is_here


@dataclass(frozen=True, slots=True)
class Late:
    """Somebody who cannot do at a level what is asked within the days of grace; `by` is None where
    never in the span.
    """

    person: str
    level: str
    by: date | None


@dataclass(frozen=True, slots=True)
class Cover:
    """What a release on one day does to the cover until a last day."""

    released: date
    until: date
    if_nobody: tuple[DayCover, ...]
    if_all: tuple[DayCover, ...]
    late: tuple[Late, ...]


class Standings:
    """Is somebody alone at a level on a day of a span? Each is worked out once, in spans."""

    def __init__(self, asking: Asking, first: date, until: date) -> None:
        self._asking, self._first, self._until = asking, first, until
        self._spans: dict[tuple[str, str], tuple[Span, ...]] = {}

    def is_alone(self, person: str, level: str, day: date) -> bool:
        """Say so for a day of the span."""
        return any(
            one.first <= day <= one.until and one.standing == "alone"
            for one in self._of(person, level)
        )

    def is_ever_alone(self, person: str, level: str) -> bool:
        """Say so for the whole span."""
        return any(one.standing == "alone" for one in self._of(person, level))

    def _of(self, person: str, level: str) -> tuple[Span, ...]:
        key = (person, level)
        if key not in self._spans:
            asked = Asked(person, level, self._first, NOTHING_NAMED)
            self._spans[key] = spans(self._asking, asked, self._until)
        return self._spans[key]


@dataclass(frozen=True, slots=True)
class Stage:
    """In which shop the release is asked about: its rota, what is wanted, the moment, and how many
    days are looked at from it on.
    """

    shop: Shop
    rota: Rota
    wanted: Wanted
    now: datetime
    days: int


@dataclass(frozen=True, slots=True)
class _Doing:
    """What somebody would have recorded at a level, by day; None where it can't be done in the
    span.
    """

    person: str
    level: str
    reads: date | None
    shows: date | None


def cover_of(stage: Stage, release: RevisionFact) -> Cover:
    """What a release on its day does to the cover, in both cases."""
    before = _Before(stage, release)
    if_all, late = before.if_all()
    return Cover(release.released, before.until, before.fall(before.with_it), if_all, late)


def find_earliest(stage: Stage, release: RevisionFact, until: date) -> date | None:
    """The first day from the release's own to the last one on which it would break no cover if
    everybody does at once what is asked; None for none. Every day is tried, those on which nobody
    is late without asking further."""
    # A later release can break more than an earlier one (who is away then), so none is skipped.
    days = days_between(release.released, until)
    return next(
        (day for day in days if not _Before(stage, replace(release, released=day)).if_all()[0]),
        None,
    )


class _Before:
    """One release on one day, with the standings as they would be without it."""

    def __init__(self, stage: Stage, release: RevisionFact) -> None:
        self.stage, self.first = stage, release.released
        self.release = release = replace(release, released_at=_moment_of(release.released, stage))
        # A release that is still to come is not known now, and would ask for nothing.
        self.known_at = moment_known(self.first, stage.now)
        self.until = last_day_looked_at(stage.shop, release, stage.days)
        # Worked out when first needed: `earliest` tries many days, and on most nobody is late.
        self._held: tuple[DayCover, ...] | None = None
        self.without = Standings(Asking(stage.shop, self.known_at), self.first, self.until)
        # nothing changes at any other level
        touched = levels_resting_on(stage.shop, release.writeup)
        self.wanted = {key: want for key, want in stage.wanted.items() if key[1] in touched}
        self.with_it = replace(stage.shop, revisions=(*stage.shop.revisions, release))

    def if_all(self) -> tuple[tuple[DayCover, ...], tuple[Late, ...]]:
        """The gaps if everybody does at once what is asked, and who is late all the same."""
        doing = tuple(_doing(self.stage, self.release, self.without, self.until))
        late = _late(self.stage.shop, self.release, doing)
        # Where nobody is late, whoever is alone without the release is so with it: nothing can
        # break.
        return (
            self.fall(_done(self.with_it, self.release, doing, self.known_at)) if late else ()
        ), late

    def fall(self, shop: Shop) -> tuple[DayCover, ...]:
        """The gaps of that shop which are not there, or not as wide, without the release."""
        after = Standings(Asking(shop, self.known_at), self.first, self.until)
        if self._held is None:
            self._held = self._gaps(self.without)
        return gaps_of_change(self._gaps(after), self._held)

    def _gaps(self, standings: Standings) -> tuple[DayCover, ...]:
        return gaps(
            self.stage.rota, self.wanted, days_between(self.first, self.until), standings.is_alone
        )


def _moment_of(day: date, stage: Stage) -> datetime:
    """When the revision would be released: now, or at the beginning of a later day."""
    zone = ZoneInfo(stage.shop.time_zone)
    now = stage.now.astimezone(zone)
    # At its beginning, so that what is done on that day comes after the release.
    return stage.now if now.date() == day else datetime.combine(day, datetime.min.time(), zone)


def _doing(
    stage: Stage, release: RevisionFact, without: Standings, until: date
) -> Iterator[_Doing]:
    """For everybody on the rota who is alone at a level of the write-up without it: when each thing
    asked is done at the earliest.
    """
    if release.asks == "nothing":
        return
    # Not those that rest on it: only at a level of the write-up is something asked.
    levels = dict.fromkeys(
        rules.level for rules in stage.shop.levels if release.writeup in rules.writeups
    )
    seniors = {person.login for person in stage.shop.people if person.is_senior_or_owner}
    days = tuple(days_between(release.released, until))

    # The same for everybody: without it each person would ask for all seniors anew.
    @cache
    def observers(level: str, day: date) -> tuple[str, ...]:
        return tuple(who for who in seniors if without.is_alone(who, level, day))

    for person, level in ((one, level) for one in stage.shop.people for level in levels):
        login = person.login
        # Nobody counts on those who are never at work, and who is not alone loses nothing.
        if not stage.rota.workshops_of(login) or not without.is_ever_alone(login, level):
            continue
        at_work = [day for day in days if stage.rota.works(login, day) and is_here(person, day)]
        reads = at_work[0] if at_work else None
        seen = (
            day
            for day in at_work
            if any(stage.rota.meet(login, senior, day) for senior in observers(level, day))
        )
        yield _Doing(
            login, level, reads, next(seen, None) if release.asks == "show again" else reads
        )


def _late(shop: Shop, release: RevisionFact, doing: Iterable[_Doing]) -> tuple[Late, ...]:
    """Those who are not done when the days of grace are over, by the shortest grace that the level
    ever gives.
    """
    found = []
    for one in doing:
        # A version with less may begin within the span: late by any of them is looked at in full.
        grace = min(rules.grace_days for rules in shop.levels if rules.level == one.level)
        done = max(one.reads, one.shows) if one.reads and one.shows else None
        if done is None or done > add_days(release.released, grace):
            found.append(Late(one.person, one.level, done))
    return tuple(found)


def _done(shop: Shop, release: RevisionFact, doing: tuple[_Doing, ...], at: datetime) -> Shop:
    """The shop with what everybody would have recorded."""
    if release.released_at is not None:
        # what is done on the day of release is done after it
        at = min(at, release.released_at + timedelta(microseconds=1))
    reads = [(one, one.reads) for one in doing if one.reads is not None]
    shows = [(one, one.shows) for one in doing if one.shows is not None]
    return replace(
        shop,
        readings=(
            *shop.readings,
            *(Reading(one.person, release.writeup, release.number, day, at) for one, day in reads),
        ),
        passings=(
            *shop.passings,
            *(Passing(one.person, one.level, day, Decimal(100), True, at) for one, day in reads),
        ),
        observations=(
            *shop.observations,
            # Nobody by name: which of the observers it was changes nothing, and "" is never the
            # person.
            *(Observation(one.person, one.level, day, "", True, at) for one, day in shows),
        ),
    )
