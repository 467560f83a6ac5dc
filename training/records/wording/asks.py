"""What does a rule of a level ask, and on what does it rest: each in a sentence?"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from training.records.wording.entries import say_entry
from training.records.wording.pieces import join_and
from training.records.wording.reasons import say_reason
from training.standing.results import Asks, Support
from training.standing.told import RuleTold


def say_asks(asks: Asks) -> str:
    """Return what a rule asks, as a sentence."""
    return ASKS[asks.code](**dict(asks.args))


def say_support(support: Support) -> str:
    """Return the name of what a rule rests on, with the last day where one is told."""
    name = say_entry(support.name) if support.name else ""
    if support.until is None:
        return name
    text = {
        "valid-until": gettext("{name}, valid until {day}"),
        "counts-until": gettext("{name}, counts until {day}"),
        "enough-until": gettext("enough until {day}"),
    }[support.code]
    return text.format(name=name, day=say_day(support.until))


@dataclass(frozen=True, slots=True)
class RuleInWords:
    """One rule as it is shown: what it asks, whether it holds, what it rests on or the gap."""

    name: str
    asks: str
    holds: bool
    evidence: tuple[str, ...]
    gap: tuple[str, ...]
    yardstick: str


def say_rule(told: RuleTold) -> RuleInWords:
    """Return a rule in words."""
    return RuleInWords(
        told.name,
        say_asks(told.asks),
        told.holds,
        tuple(map(say_support, told.evidence)),
        tuple(map(say_reason, told.gap)),
        told.yardstick,
    )


def _here() -> str:
    return gettext("Employed here on that day.")


def _stood_down() -> str:
    return gettext("Not stood down.")


def _sign_off(months: int) -> str:
    text = ngettext(
        "A sign-off for this fork or shock, valid for {months} month.",
        "A sign-off for this fork or shock, valid for {months} months.",
        months,
    )
    return text.format(months=months)


def _signer() -> str:
    return gettext(
        "Signed by somebody who was appointed to sign off and could work alone at this level on "
        "that day, or a first sign-off by the owner."
    )


def _practice(jobs: int, months: int, after: date | None) -> str:
    if after is None:
        return _in_practice(jobs, months)
    # A sentence each: `ngettext` counts one number, and these have two.
    if months == 1:
        text = ngettext(
            "Stays current with {jobs} job in 1 month or a sign-off in it. Asked from {day} on.",
            "Stays current with {jobs} jobs in 1 month or a sign-off in it. Asked from {day} on.",
            jobs,
        )
    else:
        text = ngettext(
            "Stays current with {jobs} job in {months} months or a sign-off in them. Asked from "
            "{day} on.",
            "Stays current with {jobs} jobs in {months} months or a sign-off in them. Asked from "
            "{day} on.",
            jobs,
        )
    # `after` is the last day on which it is not asked; people are told the first on which it is.
    return text.format(jobs=jobs, months=months, day=say_day(after + timedelta(days=1)))


def _changes(days: int) -> str:
    if not days:
        return gettext("Does at once what a new revision asks.")
    text = ngettext(
        "Does what a new revision asks within {days} day.",
        "Does what a new revision asks within {days} days.",
        days,
    )
    return text.format(days=days)


def _earlier(titles: tuple[str, ...]) -> str:
    return gettext("May work alone at {titles}.").format(titles=join_and(titles))


def _readings(titles: tuple[str, ...]) -> str:
    text = gettext("Before a sign-off: has read the current revision of {titles}.")
    return text.format(titles=join_and(titles))


def _quiz(percent: int) -> str:
    text = gettext(
        "Before a sign-off: passed the last sitting of the quiz with {percent} % or more and every "
        "critical question right."
    )
    return text.format(percent=percent)


def _watched_jobs(jobs: int, per_option: bool) -> str:
    if not jobs:
        return gettext("Before a sign-off: at least one supervised job for each option.")
    if not per_option:
        text = ngettext(
            "Before a sign-off: {jobs} supervised job.",
            "Before a sign-off: {jobs} supervised jobs.",
            jobs,
        )
        return text.format(jobs=jobs)
    text = ngettext(
        "Before a sign-off: {jobs} supervised job, at least one for each option.",
        "Before a sign-off: {jobs} supervised jobs, at least one for each option.",
        jobs,
    )
    return text.format(jobs=jobs)


def _observations(number: int, observers: int) -> str:
    # "By 1 different observer" says nothing: any observation has one.
    if observers < 2:
        text = ngettext(
            "Before a sign-off: {number} observation done right.",
            "Before a sign-off: {number} observations done right.",
            number,
        )
        return text.format(number=number)
    text = gettext(
        "Before a sign-off: {number} observations done right, by {observers} different observers."
    )
    return text.format(number=number, observers=observers)


def _held_first(titles: tuple[str, ...]) -> str:
    return gettext("Needs {titles} first.").format(titles=join_and(titles))


def _read_first(titles: tuple[str, ...]) -> str:
    text = gettext("Read the current revision of {titles}.")
    return text.format(titles=join_and(titles))


def _pass_percent(percent: int) -> str:
    text = gettext("Pass the quiz with {percent} % or more and every critical question right.")
    return text.format(percent=percent)


def _watched_first(jobs: int, per_option: bool) -> str:
    if not jobs:
        return gettext("At least one supervised job for each option.")
    if not per_option:
        text = ngettext("{jobs} supervised job.", "{jobs} supervised jobs.", jobs)
        return text.format(jobs=jobs)
    text = ngettext(
        "{jobs} supervised job, at least one for each option.",
        "{jobs} supervised jobs, at least one for each option.",
        jobs,
    )
    return text.format(jobs=jobs)


def _observed_first(number: int, observers: int) -> str:
    if observers < 2:
        text = ngettext(
            "{number} observation done right.", "{number} observations done right.", number
        )
        return text.format(number=number)
    text = gettext("{number} observations done right, by {observers} different observers.")
    return text.format(number=number, observers=observers)


def _valid_months(months: int) -> str:
    text = ngettext(
        "A sign-off is valid for {months} month.",
        "A sign-off is valid for {months} months.",
        months,
    )
    return text.format(months=months)


def _in_practice(jobs: int, months: int) -> str:
    if months == 1:
        text = ngettext(
            "Stays current with {jobs} job in 1 month or a sign-off in it.",
            "Stays current with {jobs} jobs in 1 month or a sign-off in it.",
            jobs,
        )
    else:
        text = ngettext(
            "Stays current with {jobs} job in {months} months or a sign-off in them.",
            "Stays current with {jobs} jobs in {months} months or a sign-off in them.",
            jobs,
        )
    return text.format(jobs=jobs, months=months)


def _practice_from(first: date, months: int) -> str:
    text = ngettext(
        "Jobs are logged since {day}. They are asked for from {months} month after that day on.",
        "Jobs are logged since {day}. They are asked for from {months} months after that day on.",
        months,
    )
    return text.format(day=say_day(first), months=months)


def _grace_days(days: int) -> str:
    text = ngettext(
        "{days} day to catch up after a new revision.",
        "{days} days to catch up after a new revision.",
        days,
    )
    return text.format(days=days)


ASKS: dict[str, Callable[..., str]] = {
    "here": _here,
    "stood-down": _stood_down,
    "sign-off": _sign_off,
    "signer": _signer,
    "practice": _practice,
    "changes": _changes,
    "earlier": _earlier,
    "readings": _readings,
    "quiz": _quiz,
    "watched-jobs": _watched_jobs,
    "observations": _observations,
    # as they stand on the level's own page
    "held-first": _held_first,
    "read-first": _read_first,
    "pass-percent": _pass_percent,
    "watched-first": _watched_first,
    "observed-first": _observed_first,
    "valid-months": _valid_months,
    "in-practice": _in_practice,
    "practice-from": _practice_from,
    "grace-days": _grace_days,
}
"""The sentence of what each rule asks, made from its arguments."""
