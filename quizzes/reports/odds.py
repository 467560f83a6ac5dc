"""How far can a pass in this quiz be trusted: who passes by guessing, and who does not although
able?
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.utils.translation import gettext

from procedures.records.above import pass_mark_of
from procedures.records.texts import rules_text
from quizzes.kinds.registry import KINDS
from quizzes.marking.drawn import (
    MOST_WAYS,
    Pot,
    Taken,
    TooManyWays,
    chances_of_meeting,
    fill_up_again,
    list_pots,
    list_ways_again,
)
from quizzes.marking.draws import Candidate, DrawRules
from quizzes.marking.second_tries import StepOf, find_steps
from quizzes.models import QuestionVersion, Quiz, Sitting
from quizzes.psychometrics.guessing import Spread
from quizzes.psychometrics.odds import (
    ABLE,
    CURVE,
    LEVELS,
    MOST_ABLE_FAIL,
    MOST_GUESSERS,
    DrawnPart,
    Pool,
    chance_of_passing,
    least_marks,
)
from quizzes.psychometrics.second_tries import Item, TooLarge, chance_of_passing_twice
from quizzes.records.asking import candidate, list_askable
from quizzes.records.sources import BesideRevision, Source, current_sources, pictures_of

PASS_PERCENT = 80  # where no level and no sitting says another one
EVERY_ONE = 100


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
    # for whoever has met one sitting's questions and guesses the rest; None: in too many ways to
    # work out
    sat_once: float | None
    is_at_most: bool  # whether that chance is at most so large
    warnings: tuple[str, ...]


def quiz_odds(quiz: Quiz, *, today: date, percent: int | None = None) -> QuizOdds | None:
    """The chances to pass, at this pass mark or that of its level on the day (of a quiz without a
    level that of the newest sitting); None where nothing is asked.

    Raises TooManyWays for a quiz whose rules let it draw in too many ways.
    """
    sources, bank, spreads = _askable(quiz, today)
    if not bank:
        return None
    mark = _pass_percent(quiz, today) if percent is None else percent
    candidates = [candidate(one, sources[one.question.writeup_id]) for one in bank.values()]
    rules_of_draw = quiz.rules.draw_rules()
    from_pots = list_pots(candidates, rules_of_draw)
    draws = chances_of_meeting(from_pots, rules_of_draw)
    counts_for = find_steps(candidates)
    chances = chances_of(from_pots, counts_for, draws, spreads, mark)
    has_second = _has_second_tries(candidates, counts_for)
    return QuizOdds(
        name=quiz.name,
        title=quiz.title,
        percent=mark,
        questions=_span(map(sum, draws)),
        critical=-(
            -sum(one.critical for one in bank.values()) * rules_of_draw.critical_percent // 100
        ),
        bank=len(bank),
        kinds=_by_kind(bank, spreads),
        guesser=chances[Fraction(0)],
        knows=tuple(chances[level] for level in LEVELS),
        curve=tuple(chances.values()),
        sat_once=chances_after_sitting(
            from_pots, rules_of_draw, spreads, mark, second_tries=has_second
        ),
        is_at_most=has_second and rules_of_draw.critical_percent < EVERY_ONE,
        warnings=_warnings(chances[Fraction(0)], chances[ABLE]),
    )


def guess_chances(quiz: Quiz, today: date) -> dict[tuple[str, str, int], float]:
    """The chance to guess each question of a quiz wholly right, by write-up, name and version, of
    those that are asked today. Six queries at most.
    """
    sources, bank, spreads = _askable(quiz, today)
    return {
        (sources[one.question.writeup_id].name, one.question.name, one.number): float(
            dict(spreads[pk]).get(Fraction(1), Fraction(0))
        )
        for pk, one in bank.items()
    }


def _askable(
    quiz: Quiz, today: date
) -> tuple[dict[int, Source], dict[int, QuestionVersion], dict[int, Spread]]:
    """The write-ups of a quiz, the questions that it can ask, and what guessing gets at each."""
    sources = current_sources(quiz.writeups.values_list("pk", flat=True), today)
    rules = rules_text()
    bank = {version.pk: version for version in list_askable(sources, rules)}
    pictures = pictures_of(list(bank.values()))
    spreads = {
        pk: _spread(one, BesideRevision(sources[one.question.writeup_id], rules, pictures))
        for pk, one in bank.items()
    }
    return sources, bank, spreads


def _has_second_tries(
    candidates: Sequence[Candidate], counts_for: Mapping[int, StepOf | None]
) -> bool:
    """Whether a critical question has another beside it."""
    many = Counter(counts_for.values())
    return any(one.critical and many[counts_for[one.key]] > 1 for one in candidates)


def chances_after_sitting(
    from_pots: Sequence[Pot],
    rules: DrawRules,
    spreads: Mapping[int, Spread],
    mark: int,
    *,
    second_tries: bool = False,
) -> float | None:
    """The chance to pass the next sitting for somebody who has sat once, knows by now whatever was
    asked there at first, and guesses the rest; over every first draw and every draw after it. Which
    first sittings fail makes no difference: whoever wants to fail one can. None where there are too
    many ways.

    With `second_tries` it is the chance where each of these is right: exact where every critical
    question is met in the first sitting, else no chance is larger.
    """
    try:
        firsts = chances_of_meeting(from_pots, rules)
        seconds = [
            (one * two, met, *taken)
            for met, one in firsts.items()
            for taken, two in list_ways_again(from_pots, met, rules).items()
        ]
    except TooManyWays:
        return None
    if len(seconds) > MOST_WAYS:
        return None
    found = 0.0
    for chance, met, fresh, known in seconds:
        pools = _again(from_pots, rules, spreads, met, fresh, known, second_tries)
        (passes,) = chance_of_passing(
            pools, least_marks(sum(pool.asked for pool in pools), mark), (0,)
        )
        found += float(chance) * passes
    return found


def _again(
    from_pots: Sequence[Pot],
    rules: DrawRules,
    spreads: Mapping[int, Spread],
    met: Taken,
    fresh: Taken,
    known: Taken,
    second_tries: bool,
) -> tuple[Pool, ...]:
    """A pool for each write-up, of critical ones and of others; what was not met fills it first."""
    more = fill_up_again(from_pots, met, fresh, known, rules.size)
    parts: dict[tuple[str, bool], list[DrawnPart]] = {}
    again: Counter[tuple[str, bool]] = Counter()
    for pot, seen, new, old in zip(from_pots, met, fresh, known, strict=True):
        must_be_right = pot.critical and not second_tries
        part = DrawnPart(tuple(spreads[key] for key in pot.keys), new, must_be_right, seen)
        parts.setdefault((pot.writeup, pot.critical), []).append(part)
        again[pot.writeup, pot.critical] += old
    return tuple(
        Pool(tuple(some), more.get((*kind, False), 0), again[kind] + more.get((*kind, True), 0))
        for kind, some in parts.items()
    )


def chances_of(
    from_pots: Sequence[Pot],
    counts_for: Mapping[int, StepOf | None],
    draws: Mapping[Taken, Fraction],
    spreads: Mapping[int, Spread],
    mark: int,
) -> dict[Fraction, float]:
    """The chance to pass for each level of `CURVE`, over every draw. Raises TooManyWays."""
    places: dict[str, list[int]] = {}
    for place, pot in enumerate(from_pots):
        places.setdefault(pot.writeup, []).append(place)
    groups: dict[str, dict[object, list[Item]]] = {name: {} for name in places}
    for name, mine in places.items():
        for at, place in enumerate(mine):
            for key in from_pots[place].keys:
                item = Item(spreads[key], at, from_pots[place].critical)
                groups[name].setdefault(counts_for[key] or key, []).append(item)
    by_writeup: dict[tuple[Taken, ...], Fraction] = {
        tuple(tuple(taken[place] for place in mine) for mine in places.values()): chance
        for taken, chance in draws.items()
    }
    writeups = [[tuple(group) for group in some.values()] for some in groups.values()]
    try:
        found = chance_of_passing_twice(writeups, by_writeup, mark, CURVE)
    except TooLarge as large:
        raise TooManyWays(large.remark) from large
    return dict(zip(CURVE, found, strict=True))


def _span(numbers: Iterable[int]) -> str:
    """“12”, or “12 to 14” where the ways to draw differ."""
    least, *_, most = sorted({*numbers}) * 2
    return str(least) if least == most else f"{least} to {most}"


def say_one_in(chance: float) -> str:
    """“About 1 in 230 guessers …”, to two figures."""
    if chance >= 0.5:
        return gettext("About {percent} % of guessers would pass this.").format(
            percent=f"{chance * 100:.0f}"
        )
    if chance < 1e-9:
        return gettext("Practically no guesser would pass this.")
    many = float(f"{1 / chance:.2g}")
    return gettext("About 1 in {many} guessers would pass this.").format(many=f"{many:,.0f}")


def _pass_percent(quiz: Quiz, today: date) -> int:
    asked = pass_mark_of(quiz.name, today)
    if asked is not None:
        return asked
    newest: Sitting | None = quiz.sittings.order_by("pk").last()
    return PASS_PERCENT if newest is None else newest.pass_percent


def _spread(version: QuestionVersion, beside: BesideRevision) -> Spread:
    return version.content().guessed(beside)


def _by_kind(
    bank: Mapping[int, QuestionVersion], spreads: Mapping[int, Spread]
) -> tuple[KindOdds, ...]:
    many = Counter(version.kind for version in bank.values())
    wholly: dict[str, Fraction] = dict.fromkeys(many, Fraction(0))
    for pk, version in bank.items():
        wholly[version.kind] += dict(spreads[pk]).get(Fraction(1), Fraction(0))
    return tuple(
        KindOdds(kind, many[kind], float(wholly[kind] / many[kind])) for kind in KINDS if many[kind]
    )


def _warnings(guesser: float, able: float) -> tuple[str, ...]:
    found = []
    if guesser > MOST_GUESSERS:
        found.append(
            gettext(
                "{guessers} That is more than 1 in 100. Ask more questions, offer more options, or "
                "raise the pass mark."
            ).format(guessers=say_one_in(guesser))
        )
    if 1 - able > MOST_ABLE_FAIL:
        found.append(
            gettext(
                "Even a good mechanic, who knows {share} of the questions, fails with a chance of "
                "{chance}. That is more than 1 in 5. Lower the pass mark, make fewer questions "
                "critical, or write another question about a step that has one."
            ).format(share=f"{float(ABLE) * 100:.0f} %", chance=f"{(1 - able) * 100:.0f} %")
        )
    return tuple(found)
