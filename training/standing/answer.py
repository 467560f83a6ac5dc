"""Who may do what at a level on a day, as known at a moment, why, until when, and what comes
next?
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from training.standing.days import lapses_on
from training.standing.entitlement import (
    Asked,
    Asking,
    StandingWord,
    as_question,
    asking_of,
    moment_of,
)
from training.standing.evidence import NotInShopError, Shop
from training.standing.results import EntryName, NextStep, Reason
from training.standing.signing import hindrances_of_signer, reasons_against_signing
from training.standing.told import (
    entries_rested_on,
    find_ending_rule,
    reasons,
    steps_for,
    steps_to_keep,
)

__all__ = [
    "Answer",
    "NextStep",
    "NotInShopError",
    "Reason",
    "answer",
    "answers",
    "hindrances_of_signer",
    "reasons_against_signing",
    "standings",
]


# The changes between two days need two at once; more would only hold memory.
MOST_TABLES = 4
"""So many whole tables are kept for one shop and moment."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A standing with its reasons (none for `alone`), its last support and what can be done
    next.
    """

    person: str
    level: str
    on: date
    standing: StandingWord
    reasons: tuple[Reason, ...]
    lapses_on: date | None
    lapses_because: str | None
    evidence: tuple[EntryName, ...]
    next: tuple[NextStep, ...]

    @property
    def last_day(self) -> date | None:
        """The last day of working alone, the day before the lapse."""
        return self.lapses_on and self.lapses_on - timedelta(days=1)


def answer(
    shop: Shop,
    person_login: str,
    level: str,
    on: date,
    known_at: datetime,
    variant: Mapping[str, str],
) -> Answer:
    """Return the answer for one person. `known_at` is aware; raises NotInShopError for a name not
    in the shop.
    """
    return answers(shop, level, on, known_at, variant, (person_login,))[0]


def answers(
    shop: Shop,
    level: str,
    on: date,
    known_at: datetime,
    variant: Mapping[str, str],
    people: Iterable[str] | None = None,
    asking: Asking | None = None,
) -> tuple[Answer, ...]:
    """Return the answers for people (None: all of the shop) in their order; raises NotInShopError
    as `answer` does.

    Whoever asks about several levels or days may hand in one Asking of this shop and moment to
    share its work; raises ValueError for one of another shop or moment.
    """
    asking = _asking(shop, known_at, asking)
    logins = _checked(shop, people, (level,))
    question = as_question(variant)
    return tuple(_answer(asking, Asked(login, level, on, question)) for login in logins)


def standings(
    shop: Shop,
    levels: Iterable[str],
    on: date,
    known_at: datetime,
    variant: Mapping[str, str],
    people: Iterable[str] | None = None,
    asking: Asking | None = None,
) -> dict[tuple[str, str], StandingWord]:
    """Return only the standing of each person and level: the same as in the answers, for big tables
    and forecasts.
    """
    asking = _asking(shop, known_at, asking)
    levels = tuple(levels)
    logins = _checked(shop, people, levels)
    question = as_question(variant)
    key = (levels, on, question, logins)
    if key not in asking.tables:
        # A dict keeps the order of insertion, so that what comes first is the oldest table.
        for old in list(asking.tables)[: 1 - MOST_TABLES]:
            del asking.tables[old]
        asking.tables[key] = asking.table(logins, levels, on, question)
    # A copy: the table is shared by everybody who asks, and nobody may change it for the others.
    return dict(asking.tables[key])


def _asking(shop: Shop, known_at: datetime, asking: Asking | None) -> Asking:
    if asking is None:
        return asking_of(shop, known_at)
    # By identity: a shop changed by `replace` is equal in most of its rows, and yet another shop.
    here = asking.shop is shop
    if not here or moment_of(shop, asking.known.at) != moment_of(shop, known_at):
        raise ValueError("The Asking that was handed in belongs to another shop or moment.")
    return asking


def _checked(shop: Shop, people: Iterable[str] | None, levels: Iterable[str]) -> tuple[str, ...]:
    # Names are checked before any work: a wrong one must not be taken for somebody with no entries.
    for level in levels:
        if level not in shop.files.versions:
            raise NotInShopError(f"There is no level {level!r} in this shop.")
    logins = tuple(person.login for person in shop.people) if people is None else tuple(people)
    for login in logins:
        if login not in shop.files.people:
            raise NotInShopError(f"There is nobody with the login {login!r} in this shop.")
    return logins


def _answer(asking: Asking, asked: Asked) -> Answer:
    if asked not in asking.answers:
        asking.answers[asked] = _work_out(asking, asked)
    return asking.answers[asked]


def _work_out(asking: Asking, asked: Asked) -> Answer:
    title = asking.books.on(asked.day).rules[asked.level].title
    standing = asking.standing(asked)
    why = reasons(asking, asked)
    lapse = lapses_on(asking, asked) if standing == "alone" else None
    because = find_ending_rule(asking, asked, lapse) if lapse else None
    return Answer(
        person=asked.person,
        level=asked.level,
        on=asked.day,
        standing=standing,
        reasons=why,
        lapses_on=lapse,
        lapses_because=because,
        evidence=entries_rested_on(asking, asked) if standing == "alone" else (),
        next=steps_to_keep(asking, asked, lapse) if lapse else steps_for(asking.rules, why, title),
    )
