"""How far can a pass in this quiz be trusted: who passes by guessing, and who does not although able?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from quizzes.marking import kinds
from quizzes.marking.drawn import pots
from quizzes.marking.draws import Candidate
from quizzes.marking.kinds import ChooseAll, ChooseOne, PutInOrder
from quizzes.models import QuestionVersion, Quiz, Sitting
from quizzes.psychometrics.guessing import NOTHING, Spread, in_order, right_or_wrong, some_of
from quizzes.psychometrics.odds import ABLE, CURVE, LEVELS, MOST_ABLE_FAIL, MOST_GUESSERS, Pool, least_marks, passing
from quizzes.sources import Source, current_sources, rules_text

PASS_PERCENT = 80  # where no sitting says another one


@dataclass(frozen=True, slots=True)
class KindOdds:
    """The questions of one kind in the bank, and the mean chance to guess one wholly right."""

    kind: str
    questions: int
    chance: float


@dataclass(frozen=True, slots=True)
class QuizOdds:
    """The chances to pass one quiz as it draws today. `knows` goes with `LEVELS`, `curve` with `CURVE`."""

    name: str
    title: str
    percent: int
    questions: int
    critical: int
    bank: int
    kinds: tuple[KindOdds, ...]
    guesser: float
    knows: tuple[float, ...]
    curve: tuple[float, ...]
    warnings: tuple[str, ...]


def quiz_odds(quiz: Quiz, *, today: date, percent: int | None = None) -> QuizOdds | None:
    """The chances to pass, at this pass mark or that of the newest sitting; None where nothing is asked. Six queries at most."""
    sources = current_sources(quiz.writeups.values_list("pk", flat=True), today)
    rules = rules_text()
    bank = {version.pk: version for version in _askable(sources, rules)}
    if not bank:
        return None
    mark = _pass_percent(quiz) if percent is None else percent
    spreads = {pk: _spread(version, sources[version.question.writeup_id], rules) for pk, version in bank.items()}
    drawn = pots([Candidate(pk, one.question.writeup.name, one.critical) for pk, one in bank.items()], quiz.size)
    pools = [Pool(tuple(spreads[key] for key in pot.keys), pot.drawn, pot.critical) for pot in drawn]
    asked = sum(pool.drawn for pool in pools)
    chances = dict(zip(CURVE, passing(pools, least_marks(asked, mark), CURVE), strict=True))
    return QuizOdds(
        name=quiz.name,
        title=quiz.title,
        percent=mark,
        questions=asked,
        critical=sum(pool.drawn for pool in pools if pool.critical),
        bank=len(bank),
        kinds=_by_kind(bank, spreads),
        guesser=chances[Fraction(0)],
        knows=tuple(chances[level] for level in LEVELS),
        curve=tuple(chances.values()),
        warnings=_warnings(chances[Fraction(0)], chances[ABLE]),
    )


def one_in(chance: float) -> str:
    """“About 1 in 230 guessers …”, to two figures."""
    if chance >= 0.5:
        return f"About {chance:.0%} of guessers would pass this."
    if chance < 1e-9:
        return "Practically no guesser would pass this."
    many = float(f"{1 / chance:.2g}")
    return f"About 1 in {many:,.0f} guessers would pass this."


def _askable(sources: Mapping[int, Source], rules: str) -> list[QuestionVersion]:
    """The newest version of every question that fits the current revision of its write-up, as a sitting draws from them."""
    newest = QuestionVersion.objects.newest().filter(question__writeup__in=sources).select_related("question__writeup")
    return [
        version
        for version in newest.order_by("question__writeup__name", "question__name")
        if not sources[version.question.writeup_id].faults(version.content(), version.steps, rules)
    ]


def _pass_percent(quiz: Quiz) -> int:
    newest: Sitting | None = quiz.sittings.order_by("pk").last()
    return PASS_PERCENT if newest is None else newest.pass_percent


def _one(asked: ChooseOne, source: Source, rules: str) -> Spread:
    return right_or_wrong(Fraction(1, len(asked.options)))


def _all(asked: ChooseAll, source: Source, rules: str) -> Spread:
    right = sum(option.right for option in asked.options)
    return some_of(right, len(asked.options) - right)


def _order(asked: PutInOrder, source: Source, rules: str) -> Spread:
    judge = source.orders(asked, rules)
    return in_order(asked.steps, judge.demanded(), judge.count()[0])


# What guessing gets, by kind. An amount is not guessed. A new kind needs its line here: `guessing.pairs` and `pairs_each`
# are for pairs, `guessing.right_or_wrong` with the share of a drawing for a spot.
GUESSED: dict[str, Callable[..., Spread]] = {
    kinds.ONE: _one,
    kinds.ALL: _all,
    kinds.ORDER: _order,
    kinds.AMOUNT: lambda asked, source, rules: NOTHING,
}


def _spread(version: QuestionVersion, source: Source, rules: str) -> Spread:
    return GUESSED[version.kind](version.content(), source, rules)


def _by_kind(bank: Mapping[int, QuestionVersion], spreads: Mapping[int, Spread]) -> tuple[KindOdds, ...]:
    wholly: Counter[str] = Counter()
    many: Counter[str] = Counter()
    for pk, version in bank.items():
        many[version.kind] += 1
        wholly[version.kind] += float(dict(spreads[pk]).get(Fraction(1), 0))  # type: ignore[assignment]
    return tuple(KindOdds(kind, many[kind], wholly[kind] / many[kind]) for kind in GUESSED if many[kind])


def _warnings(guesser: float, able: float) -> tuple[str, ...]:
    found = []
    if guesser > MOST_GUESSERS:
        found.append(
            f"{one_in(guesser)} That is more than 1 in 100: ask more questions, offer more options, or raise the pass mark."
        )
    if 1 - able > MOST_ABLE_FAIL:
        found.append(
            f"An able mechanic, who knows {float(ABLE):.0%} of the bank, fails with a chance of {1 - able:.0%}. That is more than "
            "1 in 5: lower the pass mark, or make fewer questions critical."
        )
    return tuple(found)
