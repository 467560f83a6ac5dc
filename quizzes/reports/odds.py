"""How far can a pass in this quiz be trusted: who passes by guessing, and who does not although
able?
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from quizzes.marking import kinds
from quizzes.marking.drawn import (
    MOST_WAYS,
    Pot,
    Taken,
    TooManyWays,
    filled,
    met_after,
    pots,
    ways,
    ways_again,
)
from quizzes.marking.draws import DrawRules
from quizzes.marking.kinds import ChooseAll, ChooseOne, GiveAmount, Match, PointAt, PutInOrder
from quizzes.marking.spots import right_cells, right_share
from quizzes.models import QuestionVersion, Quiz, Sitting
from quizzes.psychometrics.guessing import (
    NOTHING,
    Spread,
    in_order,
    pairs,
    pairs_each,
    right_or_wrong,
    some_of,
)
from quizzes.psychometrics.odds import (
    ABLE,
    CURVE,
    LEVELS,
    MOST_ABLE_FAIL,
    MOST_GUESSERS,
    Part,
    Pool,
    least_marks,
    passing,
)
from quizzes.records.album import Album
from quizzes.records.asking import askable, candidate
from quizzes.records.sources import Source, current_sources, pictures_of, rules_text

PASS_PERCENT = 80  # where no sitting says another one


@dataclass(frozen=True, slots=True)
class KindOdds:
    """The questions of one kind in the bank, and the mean chance to guess one wholly right."""

    kind: str
    questions: int
    chance: float


@dataclass(frozen=True, slots=True)
class QuizOdds:
    """The chances to pass one quiz as it draws today. `knows` goes with `LEVELS`, `curve` with
    `CURVE`.
    """

    name: str
    title: str
    percent: int
    questions: str
    critical: int
    bank: int
    kinds: tuple[KindOdds, ...]
    guesser: float
    knows: tuple[float, ...]
    curve: tuple[float, ...]
    sat_once: (
        float | None
        # for whoever has met one sitting's questions and guesses the rest; None: in too many ways
        # to work out
    )
    warnings: tuple[str, ...]


def quiz_odds(quiz: Quiz, *, today: date, percent: int | None = None) -> QuizOdds | None:
    """The chances to pass, at this pass mark or that of the newest sitting; None where nothing is
    asked. Nine queries at most.

    Raises TooManyWays for a quiz whose rules let it draw in too many ways.
    """
    sources = current_sources(quiz.writeups.values_list("pk", flat=True), today)
    rules = rules_text()
    bank = {version.pk: version for version in askable(sources, rules)}
    if not bank:
        return None
    mark = _pass_percent(quiz) if percent is None else percent
    pictures = pictures_of(list(bank.values()))
    spreads = {
        pk: _spread(one, Beside(sources[one.question.writeup_id], rules, pictures))
        for pk, one in bank.items()
    }
    candidates = [candidate(one, sources[one.question.writeup_id]) for one in bank.values()]
    rules_of_draw = quiz.rules.draw_rules()
    from_pots = pots(candidates, rules_of_draw)
    drawn = _drawn(from_pots, rules_of_draw, spreads)
    chances = _chances(drawn, mark)
    return QuizOdds(
        name=quiz.name,
        title=quiz.title,
        percent=mark,
        questions=_span(sum(pool.asked for pool in pools) for _, pools in drawn),
        critical=-(
            -sum(one.critical for one in bank.values()) * rules_of_draw.critical_percent // 100
        ),
        bank=len(bank),
        kinds=_by_kind(bank, spreads),
        guesser=chances[Fraction(0)],
        knows=tuple(chances[level] for level in LEVELS),
        curve=tuple(chances.values()),
        sat_once=sat_once(from_pots, rules_of_draw, spreads, mark),
        warnings=_warnings(chances[Fraction(0)], chances[ABLE]),
    )


def _drawn(
    from_pots: Sequence[Pot], rules: DrawRules, spreads: Mapping[int, Spread]
) -> list[tuple[Fraction, tuple[Pool, ...]]]:
    """Every way in which the quiz draws, with its chance: a pool for each write-up."""
    found = []
    for taken, chance in ways(from_pots, rules).items():
        more = filled(from_pots, taken, rules.size)
        parts: dict[str, list[Part]] = {}
        for pot, many in zip(from_pots, taken, strict=True):
            part = Part(tuple(spreads[key] for key in pot.keys), many, pot.critical)
            parts.setdefault(pot.writeup, []).append(part)
        found.append(
            (chance, tuple(Pool(tuple(some), more[writeup]) for writeup, some in parts.items()))
        )
    return found


def sat_once(
    from_pots: Sequence[Pot], rules: DrawRules, spreads: Mapping[int, Spread], mark: int
) -> float | None:
    """The chance to pass the next sitting for somebody who has sat once, knows by now whatever was
    asked there, and guesses the rest; over every first draw and every draw after it. Which first
    sittings fail makes no difference: whoever wants to fail one can. None where there are too many
    ways.
    """
    try:
        firsts = met_after(from_pots, rules)
        seconds = [
            (one * two, met, *taken)
            for met, one in firsts.items()
            for taken, two in ways_again(from_pots, met, rules).items()
        ]
    except TooManyWays:
        return None
    if len(seconds) > MOST_WAYS:
        return None
    found = 0.0
    for chance, met, fresh, known in seconds:
        pools = _again(from_pots, rules, spreads, met, fresh, known)
        (passes,) = passing(pools, least_marks(sum(pool.asked for pool in pools), mark), (0,))
        found += float(chance) * passes
    return found


def _again(
    from_pots: Sequence[Pot],
    rules: DrawRules,
    spreads: Mapping[int, Spread],
    met: Taken,
    fresh: Taken,
    known: Taken,
) -> tuple[Pool, ...]:
    """A pool for each write-up: what was not met fills it up first."""
    more = filled(
        from_pots, tuple(new + old for new, old in zip(fresh, known, strict=True)), rules.size
    )
    parts: dict[str, list[Part]] = {}
    again: Counter[str] = Counter()
    for pot, seen, new, old in zip(from_pots, met, fresh, known, strict=True):
        part = Part(tuple(spreads[key] for key in pot.keys), new, pot.critical, seen)
        parts.setdefault(pot.writeup, []).append(part)
        again[pot.writeup] += old
    pools = []
    for writeup, some in parts.items():
        new = min(more[writeup], sum(part.left for part in some))
        pools.append(Pool(tuple(some), new, again[writeup] + more[writeup] - new))
    return tuple(pools)


def _chances(
    drawn: Sequence[tuple[Fraction, tuple[Pool, ...]]], mark: int
) -> dict[Fraction, float]:
    """The chance to pass for each level of `CURVE`, over every way to draw."""
    found = dict.fromkeys(CURVE, 0.0)
    for chance, pools in drawn:
        least = least_marks(sum(pool.asked for pool in pools), mark)
        for level, passes in zip(CURVE, passing(pools, least, CURVE), strict=True):
            found[level] += float(chance) * passes
    return found


def _span(numbers: Iterable[int]) -> str:
    """“12”, or “12 to 14” where the ways to draw differ."""
    least, *_, most = sorted({*numbers}) * 2
    return str(least) if least == most else f"{least} to {most}"


def one_in(chance: float) -> str:
    """“About 1 in 230 guessers …”, to two figures."""
    if chance >= 0.5:
        return f"About {chance:.0%} of guessers would pass this."
    if chance < 1e-9:
        return "Practically no guesser would pass this."
    many = float(f"{1 / chance:.2g}")
    return f"About 1 in {many:,.0f} guessers would pass this."


def _pass_percent(quiz: Quiz) -> int:
    newest: Sitting | None = quiz.sittings.order_by("pk").last()
    return PASS_PERCENT if newest is None else newest.pass_percent


@dataclass(frozen=True, slots=True)
class Beside:
    """What a question is marked beside."""

    source: Source
    rules: str
    pictures: Album


def _one(asked: ChooseOne, beside: Beside) -> Spread:
    return right_or_wrong(Fraction(1, len(asked.options)))


def _all(asked: ChooseAll, beside: Beside) -> Spread:
    right = sum(option.right for option in asked.options)
    return some_of(right, len(asked.options) - right)


def _order(asked: PutInOrder, beside: Beside) -> Spread:
    judge = beside.source.orders(asked, beside.rules)
    return in_order(asked.steps, judge.demanded(), judge.count()[0])


def _match(asked: Match, beside: Beside) -> Spread:
    """Partners of which each belongs to one pair at most are guessed without taking one twice."""
    each_once = len({pair.right for pair in asked.pairs}) == len(asked.pairs)
    return (pairs if each_once else pairs_each)(len(asked.pairs), len(asked.partners))


def _point(asked: PointAt, beside: Beside) -> Spread:
    """The share of the drawing that is right, by its points or by its cells, whichever is
    larger.
    """
    box = beside.pictures.box(asked.drawing)
    return (
        NOTHING
        if box is None
        else right_or_wrong(max(right_share(asked, box), right_cells(asked, box)))
    )


def _amount(asked: GiveAmount, beside: Beside) -> Spread:
    return NOTHING


# What guessing gets, by kind; a new kind needs its line here.
GUESSED: dict[str, Callable[..., Spread]] = {
    kinds.ONE: _one,
    kinds.ALL: _all,
    kinds.ORDER: _order,
    kinds.AMOUNT: _amount,
    kinds.MATCH: _match,
    kinds.POINT: _point,
}


def _spread(version: QuestionVersion, beside: Beside) -> Spread:
    return GUESSED[version.kind](version.content(), beside)


def _by_kind(
    bank: Mapping[int, QuestionVersion], spreads: Mapping[int, Spread]
) -> tuple[KindOdds, ...]:
    many = Counter(version.kind for version in bank.values())
    wholly: dict[str, Fraction] = dict.fromkeys(many, Fraction(0))
    for pk, version in bank.items():
        wholly[version.kind] += dict(spreads[pk]).get(Fraction(1), Fraction(0))
    return tuple(
        KindOdds(kind, many[kind], float(wholly[kind] / many[kind]))
        for kind in GUESSED
        if many[kind]
    )


def _warnings(guesser: float, able: float) -> tuple[str, ...]:
    found = []
    if guesser > MOST_GUESSERS:
        found.append(
            f"{one_in(guesser)} That is more than 1 in 100: ask more questions, offer more "
            "options, or raise the pass mark."
        )
    if 1 - able > MOST_ABLE_FAIL:
        found.append(
            f"An able mechanic, who knows {float(ABLE):.0%} of the bank, fails with a chance "
            f"of {1 - able:.0%}. That is more than "
            "1 in 5: lower the pass mark, or make fewer questions critical."
        )
    return tuple(found)
