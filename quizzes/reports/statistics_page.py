"""What do the figures of a quiz come to: which question needs somebody, why, and what is to be
done; and the evidence in words, tables and charts?
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext

from procedures.writeup.remarks import Remark, remark
from quizzes.psychometrics.charts.choices import Choice, option_curves
from quizzes.psychometrics.charts.difficulty import Placed, difficulty_map
from quizzes.psychometrics.charts.grammar import draw_both
from quizzes.psychometrics.charts.shares import Shared, draw_shares
from quizzes.psychometrics.items import Group
from quizzes.records.wording.say import say
from quizzes.reports.statistics import ENOUGH, ENOUGH_FOR_RASCH, QuestionFigures, QuizFigures
from quizzes.reports.trust_pages import NONE, number, share

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
URGENT: Mapping[str, Remark] = {
    "key-doubtful": remark("check-key"),
    "nobody-right": remark("check-step"),
    "weak-do-better": remark("read-again"),
}
"""What is to be done about a question that may be wrong, the most pressing first."""
SOFTER: Mapping[str, Remark] = {
    "too-easy": remark("ask-harder"),
    "option-unpicked": remark("believable-option"),
}
"""What would make a question tell more; it is right as it is."""


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
    """One question of the page, every number as text. `few` says how many sittings there are of
    those needed; empty where there are enough.
    """

    title: str
    writeup: str
    name: str
    kind: str
    critical: bool
    asked: str
    share: str
    few: str
    bounds: str
    guess: str
    rest: str
    upper_lower: str
    difficulty: str
    is_urgent: bool
    why: tuple[str, ...]
    todo: str
    groups: tuple[str, ...]
    options: tuple[OptionLine, ...]
    chart: SafeString


def statistics_context(
    figures: QuizFigures, guesses: Mapping[tuple[str, str, int], float]
) -> dict[str, object]:
    """What the page shows; `guesses` is the chance to guess a question right, by write-up, name and
    version.
    """
    questions = sorted(figures.questions, key=lambda one: (not _is_urgent(one), _share(one)))
    chances = [guesses.get((one.writeup, one.name, one.version)) for one in questions]
    lines = [_line(at, *pair) for at, pair in enumerate(zip(questions, chances, strict=True))]
    urgent = [line for line in lines if line.is_urgent]
    whole = figures.whole
    return {
        "quiz": figures,
        "heading": _heading(figures, len(urgent)),
        "urgent": urgent,
        "softer": [line for line in lines if line.todo and not line.is_urgent],
        "few": [line for line in lines if line.few] if figures.counted >= ENOUGH else [],
        "counted": str(figures.counted),
        "sittings": str(figures.sittings),
        "size": str(figures.size),
        "common": str(figures.common),
        "enough": str(ENOUGH),
        "enough_for_rasch": str(ENOUGH_FOR_RASCH),
        "lines": lines,
        "mean": number(whole.mean if whole else None, 1),
        "sd": number(whole.sd if whole else None, 1),
        "alpha": number(whole.alpha if whole else None),
        "sem": number(whole.sem if whole else None, 1),
        "shares": _shares(questions, chances),
        "map": _map(questions),
    }


def _heading(figures: QuizFigures, urgent: int) -> str:
    if figures.counted < ENOUGH:
        told = gettext("Too few sittings to judge the questions: {counted} of {enough}")
        return told.format(counted=figures.counted, enough=ENOUGH)
    if not urgent:
        return gettext("No question needs you")
    return ngettext("{count} question needs you", "{count} questions need you", urgent).format(
        count=urgent
    )


def _codes(one: QuestionFigures) -> set[str]:
    return {flag.code for flag in one.figures.flags} if one.figures else set()


def _is_urgent(one: QuestionFigures) -> bool:
    return not _codes(one).isdisjoint(URGENT)


def _share(one: QuestionFigures) -> float:
    return one.right / one.asked


def _line(place: int, one: QuestionFigures, guess: float | None) -> QuestionLine:
    figures, hard = one.figures, one.difficulty
    is_known = hard is not None and hard.difficulty is not None
    codes = _codes(one)
    todo = next((what for code, what in {**URGENT, **SOFTER}.items() if code in codes), None)
    few = gettext("{asked} of {enough} sittings").format(asked=one.asked, enough=ENOUGH)
    return QuestionLine(
        title=one.title,
        writeup=one.writeup,
        name=one.name,
        kind=one.kind,
        critical=one.critical,
        asked=str(one.asked),
        share=share(_share(one)),
        few="" if figures else few,
        bounds=_bounds(one),
        guess=NONE if guess is None else share(guess),
        rest=number(figures.item_rest if figures else None),
        upper_lower=number(figures.upper_lower if figures else None),
        difficulty=f"{number(hard.difficulty)} ± {number(hard.se)}" if hard and is_known else NONE,
        is_urgent=_is_urgent(one),
        why=tuple(map(say, figures.flags)) if figures else (),
        todo=say(todo) if todo else "",
        groups=tuple(map(_named, one.groups)),
        options=_options(one),
        chart=_curves(place, one),
    )


def _bounds(one: QuestionFigures) -> str:
    figures = one.figures
    if figures is None or figures.share_low is None or figures.share_high is None:
        return ""
    told = gettext("{low} to {high} %")
    return told.format(low=round(100 * figures.share_low), high=round(100 * figures.share_high))


def _named(group: Group) -> str:
    if group.low == group.high:
        return gettext("{right} right").format(right=group.low)
    return gettext("{low} to {high} right").format(low=group.low, high=group.high)


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
            tuple((_named(group), share(group.shares[place])) for group in one.groups),
        )
        for place, option in enumerate(one.figures.options)
    )


def _curves(place: int, one: QuestionFigures) -> SafeString:
    if one.figures is None or len(one.groups) < 2:
        return SafeString("")
    choices = [
        Choice(
            LETTERS[at % len(LETTERS)],
            option.option,
            option.is_right,
            tuple(group.shares[at] for group in one.groups),
        )
        for at, option in enumerate(one.figures.options)
    ]
    middle = (gettext("middling"),) * (len(one.groups) - 2)
    names = (gettext("weak"), *middle, gettext("able"))
    groups = [(name, _named(group)) for name, group in zip(names, one.groups, strict=True)]
    draw = partial(option_curves, groups, choices, uid=f"choices-{place}", say=say)
    return SafeString(draw_both(lambda room: draw(room=room)))


def _shares(questions: list[QuestionFigures], chances: list[float | None]) -> SafeString:
    shared = [
        Shared(
            one.title,
            _share(one),
            one.figures.share_low or 0.0,
            1.0 if one.figures.share_high is None else one.figures.share_high,
            chance,
            _is_urgent(one),
        )
        for one, chance in zip(questions, chances, strict=True)
        if one.figures
    ]
    if not shared:
        return SafeString("")
    return SafeString(draw_both(lambda room: draw_shares(shared, say=say, room=room)))


def _map(questions: list[QuestionFigures]) -> SafeString:
    placed = [
        Placed(one.title, one.difficulty.difficulty, one.difficulty.se)
        for one in questions
        if one.difficulty
        and one.difficulty.difficulty is not None
        and one.difficulty.se is not None
    ]
    placed.sort(key=lambda one: one.difficulty)
    if not placed:
        return SafeString("")
    return SafeString(draw_both(lambda room: difficulty_map(placed, say=say, room=room)))
