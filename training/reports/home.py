"""What does each person find on their bench: what is next, who waits, who may today?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from procedures.models import Revision
from quizzes.models import Sitting
from training.gathering import gather
from training.models import StandDown, User, VoidAsked
from training.reports.who_may import Cell, shop_levels
from training.standing.answer import answer, answers, may_sign, missing_for_signing, standings
from training.standing.evidence import LevelRules, Person, Shop
from training.standing.levels import version_on

SOON = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class WriteUpToStudy:
    """One write-up of a level, and whether this person has read its current revision."""

    name: str
    title: str
    number: int
    is_read: bool


@dataclass(frozen=True, slots=True)
class LevelAtBench:
    """One level as its own person sees it: the standing, what is next, what to study, the quiz."""

    cell: Cell
    writeups: tuple[WriteUpToStudy, ...]
    pass_percent: int
    open_sitting: int | None

    @property
    def is_unread(self) -> bool:
        """Whether a current write-up of the level is still to be read."""
        return any(not writeup.is_read for writeup in self.writeups)


@dataclass(frozen=True, slots=True)
class Waiting:
    """Somebody who waits for this senior: for what (observe or sign-off), at which level."""

    person: Person
    level: str
    title: str
    what: str


@dataclass(frozen=True, slots=True)
class LevelToday:
    """How a level stands today: who is alone, for the owner."""

    level: str
    title: str
    alone: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Soon:
    """A standing alone that falls within the next days, if nothing happens."""

    login: str
    name: str
    level: str
    title: str
    on: date


@dataclass(frozen=True, slots=True)
class Home:
    """The page behind the address of the site."""

    on: date
    levels: tuple[LevelAtBench, ...]
    waiting: tuple[Waiting, ...]
    reviews: tuple[Revision, ...]
    today: tuple[LevelToday, ...]
    soon: tuple[Soon, ...]
    voids: tuple[VoidAsked, ...]
    standdowns: tuple[StandDown, ...]


def home_page(user: User, *, on: date, now: datetime) -> Home:
    """What this person needs first: own levels for those who work on forks; who waits; who may, for those who see all."""
    shop = gather()
    levels = shop_levels(shop, on)
    works = user.trade != "owner"
    sees_all = user.has_perm("training.see_everyone")
    return Home(
        on=on,
        levels=tuple(_at_bench(shop, user, levels, on, now)) if works else (),
        waiting=tuple(_waiting(shop, user, levels, on, now)) if user.has_perm("training.sign_off") else (),
        reviews=tuple(_reviews(user)) if user.has_perm("procedures.release") else (),
        today=tuple(_today(shop, levels, on, now)) if sees_all else (),
        soon=tuple(_soon(shop, levels, on, now)) if sees_all else (),
        voids=tuple(_voids(user)) if user.has_perm("training.void") else (),
        standdowns=tuple(_standdowns()) if user.has_perm("training.stand_down") else (),
    )


def rules_in_force(shop: Shop, level: str, on: date) -> LevelRules | None:
    """The version of the level's rules by which the standing reads a day; None for a level without any."""
    versions = shop.files.versions.get(level)
    return version_on(versions, on) if versions else None


def _at_bench(
    shop: Shop, user: User, levels: tuple[tuple[str, str], ...], on: date, now: datetime
) -> Iterator[LevelAtBench]:
    current = {
        name: (title, number)
        for name, title, number in Revision.objects.released(on)
        .order_by("number").values_list("writeup__name", "writeup__title", "number")
    }
    read = {(name, row.revision) for name, rows in shop.files.readings.drawer(user.login).items() for row in rows}
    open_sittings = dict(
        Sitting.objects.filter(person=user, recorded_at__isnull=True).values_list("quiz__level__name", "pk")
    )
    for level, title in levels:
        rules = rules_in_force(shop, level, on)
        names = rules.writeups if rules else ()
        yield LevelAtBench(
            cell=Cell(level, title, answer(shop, user.login, level, on, now, {})),
            writeups=tuple(
                WriteUpToStudy(name, *current[name], is_read=any(w == name and n >= current[name][1] for w, n in read))
                for name in names
                if name in current
            ),
            pass_percent=rules.pass_percent if rules else 0,
            open_sitting=open_sittings.get(level),
        )


def _waiting(
    shop: Shop, user: User, levels: tuple[tuple[str, str], ...], on: date, now: datetime
) -> Iterator[Waiting]:
    """Those without a standing alone who lack nothing but this senior's eye or name."""
    logins = [
        person.login for person in shop.people
        if person.login != user.login and (person.left is None or person.left >= on) and person.trade != "owner"
    ]
    people = {person.login: person for person in shop.people}
    found = standings(shop, [level for level, _ in levels], on, now, {}, people=logins)
    for level, title in levels:
        for login in logins:
            if found[login, level] != "watched":
                continue
            lacks = may_sign(shop, user.login, login, level, (), on, now)
            missing = {reason.code for reason in missing_for_signing(shop, login, level, on, now)}
            if not lacks and missing <= {"not-observed", "change-not-shown"}:
                yield Waiting(people[login], level, title, "observe" if missing else "sign off")


def _reviews(user: User) -> Iterator[Revision]:
    rows = Revision.objects.open().filter(sent_to_review_at__isnull=False).exclude(author=user)
    yield from rows.select_related("writeup", "author")


def _today(shop: Shop, levels: tuple[tuple[str, str], ...], on: date, now: datetime) -> Iterator[LevelToday]:
    found = standings(shop, [level for level, _ in levels], on, now, {})
    for level, title in levels:
        names = tuple(person.name for person in shop.people if found[person.login, level] == "alone")
        yield LevelToday(level, title, names)


def _soon(shop: Shop, levels: tuple[tuple[str, str], ...], on: date, now: datetime) -> Iterator[Soon]:
    """Who is alone today and will not be within thirty days, by the day."""
    names = {person.login: person.name for person in shop.people}
    found = [
        Soon(given.person, names[given.person], level, title, given.lapses_on)
        for level, title in levels
        for given in answers(shop, level, on, now, {})
        if given.lapses_on is not None and given.lapses_on <= on + SOON
    ]
    yield from sorted(found, key=lambda one: (one.on, one.name, one.title))


def _voids(user: User) -> Iterator[VoidAsked]:
    """Voids that wait for a second person, whom this one can be."""
    rows = VoidAsked.objects.filter(decided__isnull=True).exclude(by=user).exclude(person=user)
    yield from rows.select_related("person", "by")


def _standdowns() -> Iterator[StandDown]:
    """Stand-downs that nobody has lifted, the oldest first."""
    yield from StandDown.objects.filter(lift__isnull=True).select_related("person", "level", "by").order_by("happened_on", "pk")
