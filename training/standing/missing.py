"""What does a level still ask before somebody may be signed off for it?"""

from collections.abc import Iterable
from datetime import date

from training.standing import rules as rule
from training.standing.calendar import months, written
from training.standing.entitlement import Asking
from training.standing.evidence import LevelRules, Limits
from training.standing.wording import Reason, and_list, counted, kept, percent_said


def unfulfilled(
    asking: Asking, person: str, rules: LevelRules, day: date, limits: Limits = ()
) -> list[Reason]:
    """Return what is missing on the day before a sign-off: readings, quiz, watched jobs,
    observations.

    With limits only their options need a watched job each, for the variants that they limit.
    """
    limited = dict(limits)
    options = tuple(
        (name, limited.get(name, all_)) for name, all_ in asking.shop.options.get(rules.level, ())
    )
    quiz = (
        []
        if rule.has_latest_passed(asking.known, person, rules, day)
        else [_quiz(asking, person, rules, day)]
    )
    return [
        *_unread(asking, person, rules, day),
        *quiz,
        *_unshown(asking, person, rules, day, options),
    ]


def unstudied(asking: Asking, person: str, rules: LevelRules, day: date) -> list[Reason]:
    """Return what is missing for being watched: readings of the current revisions, and a pass of
    the quiz that is still valid.
    """
    quiz = (
        []
        if rule.has_quiz_done(asking.known, person, rules, day)
        else [_quiz(asking, person, rules, day)]
    )
    return [*_unread(asking, person, rules, day), *quiz]


def _unread(asking: Asking, person: str, rules: LevelRules, day: date) -> Iterable[Reason]:
    revisions = rule.unread_revisions(asking.known, person, rules, day)
    if revisions:
        named = tuple(
            f"{asking.known.title(row.writeup)} revision {row.number}" for row in revisions
        )
        yield Reason("not-read", f"Not read yet: {and_list(named)}.", named)


def _quiz(asking: Asking, person: str, rules: LevelRules, day: date) -> Reason:
    """Return what is wrong with the latest sitting, for somebody whom the quiz holds up."""
    latest = rule.latest_sitting(asking.known, person, rules, day)
    if latest is None:
        return Reason(
            "quiz-not-passed", f"The quiz of {rules.title} is not passed: no sitting yet."
        )
    reached = f"{percent_said(latest.percent)} on {written(latest.on)}"
    if latest.percent < rules.pass_percent:
        text = f"The quiz of {rules.title} is not passed: {reached}, {rules.pass_percent} % asked."
        return Reason("quiz-not-passed", text, kept([latest]))
    if not latest.critical_right:
        text = (
            f"The quiz of {rules.title} is not passed: {reached}, but with a critical question "
            "wrong."
        )
        return Reason("critical-wrong", text, kept([latest]))
    last = written(months(latest.on, rules.valid_months))
    text = f"The pass of {written(latest.on)} in the quiz of {rules.title} ended on {last}."
    return Reason("quiz-not-passed", text, kept([latest]))


def _unshown(
    asking: Asking, person: str, rules: LevelRules, day: date, options: Limits
) -> Iterable[Reason]:
    shown = rule.shown(asking.known, person, rules, day, options)
    if not shown.enough_jobs(rules):
        text = counted(len(shown.watched), rules.watched_jobs, "watched job")
        lacking = and_list([f"{variant}: {option}" for variant, option in shown.options_lacking])
        text += f"; none yet with {lacking}" if lacking else ""
        yield Reason("too-few-watched-jobs", f"{text}.", kept(shown.watched))
    if not shown.enough_observations(rules):
        text = counted(len(shown.seen_right), rules.observations, "observation") + " done right"
        if rules.observers > 1:
            text += f", by {counted(len(shown.observers), rules.observers, 'different observer')}"
        yield Reason("not-observed", f"{text}.", kept(shown.seen_right))
