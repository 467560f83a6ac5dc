"""How well does somebody still remember the answer to a question, and when is it about to be
forgotten?

The model is FSRS version 6, from the `fsrs` package with the weights that it comes with. What is
random in it (fuzz) is off, and so are its steps within a day, since a shop asks on another day.
Time passes in whole days of the shop's calendar.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from fsrs import Card, Scheduler
    from fsrs import Rating as Rated

# the recall below which a question counts as about to be forgotten, where nothing else is said
WANTED = 0.9

Rating = Literal["again", "hard", "good"]


@dataclass(frozen=True, slots=True)
class Look:
    """One time that somebody answered a question: the day, and how well it went."""

    on: date
    rating: Rating


@dataclass(frozen=True, slots=True)
class Memory:
    """What is remembered of one question: after `stability` days recall has fallen to 0.9;
    `difficulty` is from 1 to 10.
    """

    stability: float
    difficulty: float
    last: date


def rating_of(marks: Decimal | Fraction | int) -> Rating:
    """How an answer is taken: wholly right is good, a part of the marks is hard, nothing is
    again.
    """
    if marks == 1:
        return "good"
    return "hard" if marks > 0 else "again"


def remember(looks: Sequence[Look]) -> Memory | None:
    """The memory that these answers leave, which are in the order of giving; None without any."""
    return _remember(tuple(looks)) if looks else None


# What somebody answered is asked about again on each of their pages. As many as a shop of forty
# people has of two hundred and fifty questions.
@lru_cache(maxsize=10_000)
def _remember(looks: tuple[Look, ...]) -> Memory:
    scheduler, card = _scheduler(), _new_card()
    for look in looks:
        card, _ = scheduler.review_card(card, _ratings()[look.rating], _noon(look.on))
    return Memory(float(card.stability or 0), float(card.difficulty or 0), looks[-1].on)


def recall(memory: Memory, on: date) -> float:
    """The chance, 0 to 1, that the answer is still known on a day; (1 + F·t/S)^D of FSRS-6. On the
    last day or before, 1.
    """
    return float(
        _scheduler().get_card_retrievability(
            _card(memory), current_datetime=_noon(max(on, memory.last))
        )
    )


def find_due_day(memory: Memory, wanted: float = WANTED) -> date:
    """The first day on which it should be asked again: the days until recall falls to what is
    wanted, rounded to the nearest one (a half to the even one) and at least 1. Raises ValueError
    unless `wanted` lies between 0 and 1."""
    if not 0 < wanted < 1:
        message = "The wanted recall lies between 0 and 1."
        raise ValueError(message)
    # Weight 20 is the decay of FSRS-6; the factor makes recall 0.9 after `stability` days.
    decay = -_scheduler().parameters[20]
    factor = 0.9 ** (1 / decay) - 1
    # The library's own formula: it tells the interval only together with a new answer.
    days = memory.stability / factor * (wanted ** (1 / decay) - 1)
    return memory.last + timedelta(days=max(round(days), 1))


@cache
def _scheduler() -> Scheduler:
    from fsrs import Scheduler  # only where somebody's memory is asked for

    return Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)


@cache
def _ratings() -> dict[Rating, Rated]:
    from fsrs import Rating as Rated

    return {"again": Rated.Again, "hard": Rated.Hard, "good": Rated.Good}


def _new_card() -> Card:
    from fsrs import Card

    return Card(card_id=1)


def _card(memory: Memory) -> Card:
    from fsrs import Card, State

    return Card(
        card_id=1,
        state=State.Review,
        step=None,
        stability=memory.stability,
        difficulty=memory.difficulty,
        last_review=_noon(memory.last),
    )


def _noon(day: date) -> datetime:
    # Noon: whole days apart, whatever the zone, and no clock change between two of them.
    return datetime.combine(day, time(12), UTC)
