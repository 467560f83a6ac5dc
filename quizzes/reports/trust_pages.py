"""How are the chances and figures of a quiz put into words, tables and charts?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.utils.safestring import SafeString

from quizzes.psychometrics.charts.choices import Choice, option_curves
from quizzes.psychometrics.charts.difficulty import Placed, difficulty_map
from quizzes.psychometrics.charts.operating import operating_curve
from quizzes.psychometrics.items import Group
from quizzes.psychometrics.mastery import LONGEST, chance_of_mastery, shortest_quiz
from quizzes.psychometrics.odds import ABLE, CURVE, MOST_SAT_ONCE, count_needed
from quizzes.records.wording.say import say
from quizzes.reports.odds import QuizOdds, say_one_in
from quizzes.reports.statistics import ENOUGH, ENOUGH_FOR_RASCH, QuestionFigures, QuizFigures

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
NONE = "–"
AROUND = 4  # results on either side of the pass mark


@dataclass(frozen=True, slots=True)
class OptionLine:
    letter: str
    text: str
    is_right: bool
    share: str
    rest: str
    groups: tuple[tuple[str, str], ...]  # the name of the group, and the share in it


@dataclass(frozen=True, slots=True)
class QuestionLine:
    """One question of the page on statistics, every number as text."""

    number: str
    writeup: str
    name: str
    kind: str
    critical: bool
    asked: str
    share: str
    bounds: str
    rest: str
    upper_lower: str
    without: str
    difficulty: str
    flags: tuple[str, ...]
    groups: tuple[str, ...]
    options: tuple[OptionLine, ...]
    chart: SafeString


def odds_context(odds: QuizOdds) -> dict[str, object]:
    """What the page on odds shows."""
    levels = [float(level) for level in CURVE]
    return {
        "odds": odds,
        "percent": str(odds.percent),
        "questions": odds.questions,
        "critical": str(odds.critical),
        "bank": str(odds.bank),
        "one_in": say_one_in(odds.guesser),
        "able": f"{float(ABLE):.0%}",
        "sat_once": None if odds.sat_once is None else share(odds.sat_once),
        "is_at_most": odds.is_at_most,
        "asks_the_same": odds.sat_once is not None and odds.sat_once > MOST_SAT_ONCE,
        "fails": share(1 - odds.curve[CURVE.index(ABLE)]),
        "lines": [
            (f"{level:.0%}", share(chance))
            for level, chance in zip(levels, odds.curve, strict=True)
        ],
        "kinds": [(one.kind, str(one.questions), share(one.chance)) for one in odds.kinds],
        "chart": SafeString(operating_curve(levels, odds.curve, float(ABLE), say=say)),
        "results": result_lines(odds),
    }


def length_context(asked: Mapping[str, int]) -> dict[str, object]:
    """How many questions would be enough to tell two levels apart (`weak`, `able`) so surely
    (`sure`), all in percent.
    """
    weak, able, sure = (Fraction(asked[name], 100) for name in ("weak", "able", "sure"))
    found = shortest_quiz(weak, able, sure)
    return {
        "weak": f"{float(weak):.0%}",
        "able_asked": f"{float(able):.0%}",
        "shortest": found
        and {
            "questions": str(found.questions),
            "need": str(found.need),
            "able_fails": share(1 - found.able_pass),
            "weak_passes": share(1 - found.weak_fail),
        },
        "longest": str(LONGEST),
    }


def result_lines(odds: QuizOdds) -> tuple[tuple[str, bool, str], ...]:
    """What each number of right answers around the pass mark says: the chance that the true level
    reaches the mark.
    """
    questions = int(odds.questions.split()[-1])
    need = count_needed(questions, odds.percent)
    rights = range(max(need - AROUND, 0), min(need + AROUND, questions) + 1)
    mark = Fraction(odds.percent, 100)
    return tuple(
        (f"{right} of {questions}", right >= need, share(chance_of_mastery(right, questions, mark)))
        for right in rights
    )


def statistics_context(figures: QuizFigures) -> dict[str, object]:
    """What the page on statistics shows."""
    # What looks wrong comes first.
    questions = sorted(figures.questions, key=lambda one: not (one.figures and one.figures.flags))
    lines = [_line(place, one) for place, one in enumerate(questions, start=1)]
    placed = [
        Placed(line.number, one.difficulty.difficulty, one.difficulty.se)
        for line, one in zip(lines, questions, strict=True)
        if one.difficulty
        and one.difficulty.difficulty is not None
        and one.difficulty.se is not None
    ]
    placed.sort(key=lambda one: one.difficulty)
    whole = figures.whole
    return {
        "quiz": figures,
        "sittings": str(figures.sittings),
        "counted": str(figures.counted),
        "size": str(figures.size),
        "common": str(figures.common),
        "enough": str(ENOUGH),
        "enough_for_rasch": str(ENOUGH_FOR_RASCH),
        "lines": lines,
        "has_options": any(line.options for line in lines),
        "mean": number(whole.mean if whole else None, 1),
        "sd": number(whole.sd if whole else None, 1),
        "alpha": number(whole.alpha if whole else None),
        "sem": number(whole.sem if whole else None, 1),
        "map": SafeString(difficulty_map(placed, say=say)) if placed else SafeString(""),
    }


def share(chance: float) -> str:
    """A chance in percent; small ones with as many places as they need."""
    if chance in (0, 1):
        return f"{chance:.0%}"
    if 0.0005 <= chance <= 0.9995:
        return f"{chance:.1%}"
    return "less than 0.1%" if chance < 0.5 else "more than 99.9%"


def number(figure: float | None, places: int = 2) -> str:
    """A figure as text; a dash where it is undefined."""
    return NONE if figure is None else f"{figure:.{places}f}".replace("-", "−")


def _line(place: int, one: QuestionFigures) -> QuestionLine:
    figures, hard = one.figures, one.difficulty
    is_known = hard is not None and hard.difficulty is not None
    return QuestionLine(
        number=str(place),
        writeup=one.writeup,
        name=one.name,
        kind=one.kind,
        critical=one.critical,
        asked=str(one.asked),
        share=share(one.right / one.asked),
        bounds=f"{figures.share_low:.0%} to {figures.share_high:.0%}" if figures else "",
        rest=number(figures.item_rest if figures else None),
        upper_lower=number(figures.upper_lower if figures else None),
        without=number(figures.alpha_without if figures else None),
        difficulty=f"{number(hard.difficulty)} ± {number(hard.se)}" if hard and is_known else NONE,
        flags=tuple(map(say, figures.flags)) if figures else (),
        groups=tuple(map(_named, one.groups)),
        options=_options(one),
        chart=_curves(place, one),
    )


def _named(group: Group) -> str:
    return f"{group.low} to {group.high} right" if group.low < group.high else f"{group.low} right"


def _options(one: QuestionFigures) -> tuple[OptionLine, ...]:
    if one.figures is None or not one.groups:
        return ()
    return tuple(
        OptionLine(
            LETTERS[place % len(LETTERS)],
            option.option,
            option.is_right,
            share(option.share or 0.0),
            number(option.r_rest),
            tuple((_named(group), f"{group.shares[place]:.0%}") for group in one.groups),
        )
        for place, option in enumerate(one.figures.options)
    )


def _curves(place: int, one: QuestionFigures) -> SafeString:
    if one.figures is None or len(one.groups) < 2:
        return SafeString("")
    choices = [
        Choice(
            LETTERS[at % len(LETTERS)],
            option.is_right,
            tuple(group.shares[at] for group in one.groups),
        )
        for at, option in enumerate(one.figures.options)
    ]
    names = (
        ("weak", "able")
        if len(one.groups) == 2
        else ("weak", *("middling",) * (len(one.groups) - 2), "able")
    )
    return SafeString(option_curves(names, choices, uid=f"choices-{place}", say=say))
