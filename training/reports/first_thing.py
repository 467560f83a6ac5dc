"""What is the one thing that somebody does next, and why that?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from training.records.gathering import day_text
from training.records.wording.steps import say_step
from training.reports.at_bench import LevelAtBench

Way = Literal["study", "quiz", "job", "wait", "none"]

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
            why = "It was begun and not ended. Every answer that you gave is kept."
            return _thing(
                "quiz", f"Go on with the quiz of {level.cell.title}.", why, level, level.cell.level
            )
    open_ones = sorted((level for level in levels if level.is_open), key=_turn)
    for level in open_ones:
        for step in level.cell.answer.next:
            if step.who == "person" and (found := _doing(level, step.code, say_step(step))):
                return found
    for level in open_ones:
        for step in level.cell.answer.next:
            whose = "The owner’s" if step.who == "owner" else "A senior’s"
            return _thing(
                "wait",
                f"{whose} turn: {say_step(step)}",
                f"Nothing else is yours to do for {level.cell.title}.",
                level,
                "",
            )
    return FirstThing(
        "none", "Nothing is left to do.", "What is missing, or lapses soon, will stand here."
    )


def _turn(level: LevelAtBench) -> tuple[date, bool]:
    """What is planned comes by its last day, before what is not."""
    return (level.planned[1] if level.planned else date.max), level.is_alone


def _doing(level: LevelAtBench, code: str, text: str) -> FirstThing | None:
    why = _why(level)
    if code in READ:
        unread = next((writeup for writeup in level.writeups if not writeup.is_read), None)
        if unread is not None:
            return _thing(
                "study", f"Read {unread.title}, revision {unread.number}.", why, level, unread.name
            )
    if code in QUIZ:
        return _thing("quiz", text, why, level, level.cell.level)
    if code in JOB:
        return _thing("job", text, why, level, level.cell.level)
    return None


def _why(level: LevelAtBench) -> str:
    many, title = len(level.cell.answer.next), level.cell.title
    if level.planned:
        return f"{title} is planned for you by {day_text(level.planned[1])}."
    if level.is_alone:
        return f"It keeps your standing at {title}."
    if many == 1:
        return f"It is the last thing missing for {title}."
    return f"It is the first of {many} things missing for {title}."


def _thing(way: Way, text: str, why: str, level: LevelAtBench, target: str) -> FirstThing:
    return FirstThing(way, text, why, level.cell.level, level.cell.title, target)
