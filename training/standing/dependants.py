"""What rested on an entry, through any number of steps, and falls with it when it is declared
void?
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime

from training.standing.entitlement import Asked, Asking
from training.standing.evidence import Job, Observation, Shop, SignOff, Void


@dataclass(frozen=True, slots=True)
class Dependants:
    """What rested on a sign-off: others whose signer is not entitled without it, and work seen by
    whoever fell.
    """

    signoffs: tuple[SignOff, ...]
    observations: tuple[Observation, ...]
    jobs: tuple[Job, ...]


def entries_falling_with(shop: Shop, void: Void, known_at: datetime) -> Dependants:
    """Return every sign-off, observation and watched job that would fall if this void were
    recorded, beside the entries that it names. `known_at` is not before it.

    An observation or a watched job rests on a sign-off when whoever watched was alone at the level
    on that day, for anything that a sign-off of theirs covers, only thanks to it.
    """
    # Two fresh ones: the answers without the void must not be mixed with those that pages keep.
    return _fallen(Asking(shop, known_at), Asking(shop_with_void(shop, void), known_at))


def shop_with_void(shop: Shop, void: Void) -> Shop:
    """The shop as it would be with this void on record."""
    return replace(shop, voids=(*shop.voids, void))


def _fallen(with_it: Asking, without: Asking) -> Dependants:
    for asking in (with_it, without):
        for login in asking.shop.files.people:
            asking.settle(login)
    return Dependants(
        signoffs=tuple(
            row
            # From `without`: what the void itself names is gone there, and is no dependant of
            # itself.
            for row in _counting_signoffs(without)
            if with_it.entitled(row) and not without.entitled(row)
        ),
        observations=tuple(
            row
            for row in _counting_observations(without)
            if _fell(with_it, without, row.observer, row.level, row.on)
        ),
        jobs=tuple(
            row
            for row in _counting_jobs(without)
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
    covered = with_it.questions_of(watcher, level, day)
    asked = [Asked(watcher, level, day, question) for question in covered]
    # Any of them: an observation names no option in the rows here, so that it may rest on each.
    return any(with_it.alone(question) and not without.alone(question) for question in asked)
