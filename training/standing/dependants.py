"""What rested on a sign-off, through any number of steps, and falls with it when it is declared void?"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from training.standing import rules as rule
from training.standing.entitlement import Asked, Asking
from training.standing.evidence import Job, Observation, Shop, SignOff


@dataclass(frozen=True, slots=True)
class Dependants:
    """What rested on a sign-off: others whose signer is not entitled without it, and work seen by whoever fell."""

    signoffs: tuple[SignOff, ...]
    observations: tuple[Observation, ...]
    jobs: tuple[Job, ...]


def rested_on(shop: Shop, signoff: SignOff, known_at: datetime) -> Dependants:
    """Return every sign-off, observation and watched job that holds with a sign-off and would not without it.

    An observation or a watched job rests on it when whoever watched was alone at the level on that day, for anything
    that a sign-off of theirs covers, only thanks to it.
    """
    with_it, without = Asking(shop, known_at), Asking(shop, known_at, without=signoff)
    for asking in (with_it, without):
        for login in shop.files.people:
            asking.settle(login)
    return Dependants(
        signoffs=tuple(
            row for row in _counting_signoffs(without) if with_it.entitled(row) and not without.entitled(row)
        ),
        observations=tuple(
            row for row in _counting_observations(with_it) if _fell(with_it, without, row.observer, row.level, row.on)
        ),
        jobs=tuple(
            row
            for row in _counting_jobs(with_it)
            if row.watched_by and _fell(with_it, without, row.watched_by, row.level, row.on)
        ),
    )


def _counting_signoffs(asking: Asking) -> Iterator[SignOff]:
    for person, level in asking.shop.files.signoffs.pairs():
        yield from asking.known.signoffs(person, level)


def _counting_observations(asking: Asking) -> Iterator[Observation]:
    for person, level in asking.shop.files.observations.pairs():
        yield from asking.known.observations(person, level)


def _counting_jobs(asking: Asking) -> Iterator[Job]:
    for person, level in asking.shop.files.jobs.pairs():
        yield from asking.known.jobs(person, level)


def _fell(with_it: Asking, without: Asking, watcher: str, level: str, day: date) -> bool:
    covered = {rule.Question()}
    for row in with_it.known.signoffs(watcher, level):
        covered.update(rule.questions_covered(row.limits))
    asked = [Asked(watcher, level, day, question) for question in covered]
    return any(with_it.alone(question) and not without.alone(question) for question in asked)
