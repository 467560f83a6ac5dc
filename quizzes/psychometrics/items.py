"""What does each item tell about the people who answered it, and what looks wrong with it?

Sums are exact whole numbers, so that a spread that is not there is 0 and never a rounding
remainder. Everything undefined is None. The rest is the total without the item itself, because an
item that is part of the total looks far too good.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import sqrt

from procedures.writeup.remarks import Remark, remark
from quizzes.psychometrics.intervals import wilson
from quizzes.psychometrics.reliability import alpha, item_spreads
from quizzes.psychometrics.responses import Counts, moments, spread

# percent of the people in the upper and in the lower group (T. L. Kelley, J. Educ. Psychol. 30,
# 1939)
EDGE = 27
TOO_EASY = 0.95
# Standard errors below 0 that chance alone brings in 1 of 20 sound items (one side, 5 %); with one
# of them it would be 1 of 6.
SURELY = 1.645
# Where wrong answers fall on the wrong options alike, so rarely does one stay empty by chance.
RARELY = 0.05
CLEARLY = 0.1  # by so much another option must go better with the rest than the keyed one does

NOBODY_RIGHT = remark("nobody-right")
TOO_EASY_SAYS = remark("too-easy")
WEAK_DO_BETTER = remark("weak-do-better")


@dataclass(frozen=True, slots=True)
class OptionFigures:
    """The share of people who chose an option, and the correlation of choosing it with the rest."""

    option: str
    is_right: bool
    share: float | None
    r_rest: float | None


@dataclass(frozen=True, slots=True)
class ItemFigures:
    """The figures of one item; `flags` say what looks wrong."""

    item: str
    share_right: float | None
    share_low: float | None
    share_high: float | None
    item_rest: float | None
    item_total: float | None
    upper_lower: float | None
    alpha_without: float | None
    options: tuple[OptionFigures, ...]
    flags: tuple[Remark, ...]


def item_figures(counts: Counts) -> tuple[ItemFigures, ...]:
    """The figures of every item; `alpha_without` is None where somebody was not asked every
    item.
    """
    right = counts.right_by_score().tolist()
    # Alpha compares variances over the same people; with gaps it would mean nothing.
    spreads = item_spreads(counts) if counts.is_complete else []
    return tuple(
        _item(counts, place, right[place], [*spreads[:place], *spreads[place + 1 :]])
        for place in range(len(counts.items))
    )


def compare_groups(by_score: Sequence[int], right: Sequence[int], edge: int = EDGE) -> float | None:
    """The share right in the upper group less that in the lower one; None for nobody.

    Each group holds exactly this percentage of the people. Of the score at its edge, everybody
    counts for the same part of a person, so the order of rows does not matter.
    """
    people = sum(by_score)
    if not people:
        return None
    ranked = list(zip(by_score, right, strict=True))
    return float(
        (_right_among(reversed(ranked), edge * people) - _right_among(ranked, edge * people))
        / (edge * people)
    )


@dataclass(frozen=True, slots=True)
class Group:
    """People whose scores lie together: from which to which score, how many, and the share of them
    that chose each option.
    """

    low: int
    high: int
    people: int
    shares: tuple[float, ...]


def group_people(counts: Counts, place: int, groups: int = 3) -> tuple[Group, ...]:
    """People in about so many groups of like size, from weak to able; people of the same score stay
    together.
    """
    by_score: list[int] = counts.by_score(place).tolist()
    people, seen = sum(by_score), 0
    held: dict[int, list[int]] = {}
    for score, many in enumerate(by_score):
        if many:
            # A score belongs where its middle person stands.
            held.setdefault((2 * seen + many) * groups // (2 * people), []).append(score)
            seen += many
    codes = range(1, len(counts.options[place]) + 1)
    found = []
    for scores in held.values():
        many = sum(by_score[score] for score in scores)
        chosen = [int(counts.table[place, code, scores].sum()) for code in codes]
        found.append(Group(scores[0], scores[-1], many, tuple(one / many for one in chosen)))
    return tuple(found)


def _item(counts: Counts, place: int, right: Sequence[int], others: Sequence[int]) -> ItemFigures:
    by_score: list[int] = counts.by_score(place).tolist()
    people, correct = sum(by_score), sum(right)
    # With the item out, those who had it right stand one score lower.
    rest = [
        many - here + above
        for many, here, above in zip(by_score, right, [*right[1:], 0], strict=True)
    ]
    bounds = wilson(correct, people)
    options = tuple(
        _option(counts, place, code, rest, people)
        for code in range(1, len(counts.options[place]) + 1)
    )
    figures = ItemFigures(
        item=counts.items[place],
        share_right=correct / people if people else None,
        share_low=bounds and bounds[0],
        share_high=bounds and bounds[1],
        # One score lower for those who had it right: the item itself is out of their total.
        item_rest=_correlation(right[1:], rest),
        item_total=_correlation(right, by_score),
        upper_lower=compare_groups(by_score, right),
        alpha_without=alpha(others, spread(*moments(rest))),
        options=options,
        flags=(),
    )
    return replace(figures, flags=flags(figures, people)) if people else figures


def _option(
    counts: Counts, place: int, code: int, rest: Sequence[int], people: int
) -> OptionFigures:
    chosen = counts.table[place, code].tolist()
    is_right = code == counts.right[place]
    return OptionFigures(
        option=counts.options[place][code - 1],
        is_right=is_right,
        share=sum(chosen) / people if people else None,
        # Only who chose the key had a point from this item to take off.
        r_rest=_correlation(chosen[1:] if is_right else chosen, rest),
    )


def _correlation(chosen: Sequence[int], by_score: Sequence[int]) -> float | None:
    """Pearson's correlation of having chosen (so many of each score) with the score; None without
    spread in either.
    """
    people, total, squares = moments(by_score)
    many, among, _ = moments(chosen)
    spread = (people * squares - total * total) * (many * (people - many))
    return (people * among - many * total) / sqrt(spread) if spread else None


def _right_among(ranked: Iterable[tuple[int, int]], wanted: int) -> Fraction:
    """How many are right among the first people of (people, right) by score, the last score in
    part; all in hundredths.
    """
    found = 0
    for many, right in ranked:
        # In hundredths, so that 27 per cent of the people stays a whole number.
        if 100 * many >= wanted:
            return found + Fraction(wanted * right, many)
        found += 100 * right
        wanted -= 100 * many
    return Fraction(found)


def flags(item: ItemFigures, people: int) -> tuple[Remark, ...]:
    """What looks wrong with an item that so many people answered."""
    if (item.share_right or 0) >= TOO_EASY:
        # The few who get it wrong tell nothing of able and weak, nor of the options.
        return (TOO_EASY_SAYS,)
    says = list(_unpicked(item, people))
    if item.item_rest is not None and item.item_rest < -SURELY / sqrt(people):
        says.append(WEAK_DO_BETTER)
    better = _better_option(item, people)
    if better is not None:
        says.append(remark("key-doubtful", option=better.option))
    if not item.share_right:
        says.append(NOBODY_RIGHT)
    return tuple(says)


def _unpicked(item: ItemFigures, people: int) -> Iterator[Remark]:
    """Each wrong option that nobody picks, where so many are wrong that this is no chance."""
    wrong = [one for one in item.options if not one.is_right]
    missed = people - round((item.share_right or 0) * people)
    if not wrong or (1 - 1 / len(wrong)) ** missed >= RARELY:
        return
    yield from (remark("option-unpicked", option=one.option) for one in wrong if not one.share)


def _better_option(item: ItemFigures, people: int) -> OptionFigures | None:
    """The option that goes with the rest where the keyed one does not; None where there is none.

    The keyed one does not when its correlation is below 0, or above by less than its standard
    error, 1/√people. What is right is chosen often, so an option that draws less than half as many
    people as the keyed one is none to suspect.
    """
    often = [
        one
        for one in item.options
        if not one.is_right and 2 * (one.share or 0) >= (item.share_right or 0)
    ]
    others = [one for one in often if one.r_rest is not None]
    best = max(others, key=lambda one: one.r_rest or 0.0, default=None)
    keyed = item.item_rest if item.item_rest is not None else 0.0
    # 1/√people is about the standard error of a correlation near 0.
    if best is None or best.r_rest is None or best.r_rest <= 0 or keyed >= 1 / sqrt(people):
        return None
    return best if best.r_rest - keyed >= CLEARLY else None
