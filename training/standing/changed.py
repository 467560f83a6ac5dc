"""Whose standing is another one than on an earlier day, and which reasons came or went?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from training.standing.answer import standings
from training.standing.entitlement import Asked, Asking, StandingWord, as_question, asking_of
from training.standing.evidence import Shop
from training.standing.results import Reason
from training.standing.told import reasons


@dataclass(frozen=True, slots=True)
class Change:
    """The standing of one person at one level on the two days, and the reasons of only the later,
    or only the earlier.
    """

    person: str
    level: str
    before: StandingWord
    after: StandingWord
    came: tuple[Reason, ...]
    went: tuple[Reason, ...]


def changes_between(
    shop: Shop,
    since: date,
    on: date,
    known_at: datetime,
    variant: Mapping[str, str],
    people: Iterable[str] | None = None,
) -> tuple[Change, ...]:
    """Return each standing that differs between two days, both as known at one aware instant,
    person by person.
    """
    asking = asking_of(shop, known_at)
    levels = tuple(shop.files.versions)
    logins = None if people is None else tuple(people)
    # One moment of knowledge for both days, so that a late entry does not look like a change of
    # standing.
    then = standings(shop, levels, since, known_at, variant, logins, asking)
    now = standings(shop, levels, on, known_at, variant, logins, asking)
    question = as_question(variant)
    return tuple(
        _change(
            asking,
            Asked(person, level, since, question),
            Asked(person, level, on, question),
            before,
            now[person, level],
        )
        for (person, level), before in then.items()
        if before != now[person, level]
    )


def _change(
    asking: Asking, then: Asked, now: Asked, before: StandingWord, after: StandingWord
) -> Change:
    old, new = reasons(asking, then), reasons(asking, now)
    # By code alone: the same reason with another count or day has neither come nor gone.
    old_codes, new_codes = {reason.code for reason in old}, {reason.code for reason in new}
    return Change(
        then.person,
        then.level,
        before,
        after,
        came=tuple(reason for reason in new if reason.code not in old_codes),
        went=tuple(reason for reason in old if reason.code not in new_codes),
    )
