"""What is the one thing that somebody does next, and why that?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from django.utils.translation import gettext

from procedures.records.days.reader import say_day
from training.records.wording.steps import say_step
from training.reports.at_bench import LevelAtBench

Way = Literal["study", "sitting", "quiz", "job", "wait", "none"]

READ = {"read", "read-change"}
QUIZ = {"sit-quiz", "answer-again", "go-through-critical"}
JOB = {"do-watched-jobs", "get-into-practice", "stay-in-practice"}


@dataclass(frozen=True, slots=True)
class FirstThing:
    """One thing to do and why; `way` says how it is done, with the write-up's or the level's name
    as `target`.
    """

    way: Way
    text: str
    why: str
    level: str = ""
    title: str = ""
    target: str = ""


def first_thing(levels: Sequence[LevelAtBench]) -> FirstThing:
    """What comes first: a sitting that was begun, else the first thing that this person can do at
    the level that is planned for soonest, else at the earliest level that is not theirs alone, else
    what keeps a standing, else whom they wait for."""
    for level in levels:
        if level.open_sitting:
            why = gettext("You started it and did not end it. All your answers are saved.")
            text = gettext("Go on with the quiz of {title}.").format(title=level.cell.title)
            return _thing("sitting", text, why, level, level.cell.level)
    open_ones = sorted((level for level in levels if level.is_open), key=_turn)
    for level in open_ones:
        for step in level.cell.answer.next:
            if step.who == "person" and (found := _doing(level, step.code, say_step(step))):
                return found
    # Only after all levels were looked at: waiting comes last wherever something can be done.
    for level in open_ones:
        for step in level.cell.answer.next:
            text = (
                gettext("Wait for the owner: {step}")
                if step.who == "owner"
                else gettext("Wait for a senior: {step}")
            ).format(step=say_step(step))
            why = gettext("You have done your part for {title}.").format(title=level.cell.title)
            return _thing("wait", text, why, level, "")
    return FirstThing(
        "none",
        gettext("Nothing is missing for your own levels."),
        gettext("This page shows what is missing and what runs out soon."),
    )


def _turn(level: LevelAtBench) -> tuple[date, bool]:
    """What is planned comes by its last day, and a sign-off that runs out within 30 days by its
    own, before what has no day: what one may do already is kept before a new level is begun.
    """
    lapse = level.cell.answer.lapses_on
    ends = lapse if level.is_alone and level.cell.ends_soon(level.on) else None
    days = [day for day in (level.planned and level.planned[1], ends) if day]
    return min(days, default=date.max), level.is_alone


def _doing(level: LevelAtBench, code: str, text: str) -> FirstThing | None:
    why = _why(level)
    if code in READ:
        unread = next((writeup for writeup in level.writeups if not writeup.is_read), None)
        if unread is not None:
            text = gettext("Read {title}, revision {number}.").format(
                title=unread.title, number=unread.number
            )
            return _thing("study", text, why, level, unread.name)
    if code in QUIZ:
        return _thing("quiz", text, why, level, level.cell.level)
    if code in JOB:
        return _thing("job", text, why, level, level.cell.level)
    return None


def _why(level: LevelAtBench) -> str:
    many, title = len(level.cell.answer.next), level.cell.title
    if level.planned:
        text = gettext("The plan asks you to finish {title} by {day}.")
        return text.format(title=title, day=say_day(level.planned[1]))
    if level.is_alone:
        return gettext("It keeps you signed off for {title}.").format(title=title)
    if many == 1:
        return gettext("It is the last thing missing for {title}.").format(title=title)
    text = gettext("It is the first of {many} things missing for {title}.")
    return text.format(many=many, title=title)


def _thing(way: Way, text: str, why: str, level: LevelAtBench, target: str) -> FirstThing:
    return FirstThing(way, text, why, level.cell.level, level.cell.title, target)
