"""What does a rule of a level ask, and on what does it rest: each in a sentence?"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext, ngettext

from training.records.wording.entries import say_entry
from training.records.wording.pieces import join_and
from training.records.wording.reasons import say_reason
from training.standing.calendar import written
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
    return text.format(name=name, day=written(support.until))


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


def say_months(number: int) -> str:
    """Return a number of months: 1 month, 24 months."""
    return ngettext("{number} month", "{number} months", number).format(number=number)


def _here() -> str:
    return gettext("At work here on that day.")


def _stood_down() -> str:
    return gettext("Not stood down.")


def _sign_off(months: int) -> str:
    text = gettext("A sign-off that covers this fork, valid for {months}.")
    return text.format(months=say_months(months))


def _signer() -> str:
    return gettext(
        "Signed by somebody appointed who might work alone at it on that day, or a first sign-off "
        "by the owner."
    )


def _practice(jobs: int, months: int, after: date | None) -> str:
    counted = ngettext("{number} job", "{number} jobs", jobs).format(number=jobs)
    if after is None:
        text = gettext("In practice: {jobs} in {months}, or a sign-off in them.")
        return text.format(jobs=counted, months=say_months(months))
    text = gettext("In practice: {jobs} in {months}, or a sign-off in them. Asked after {day}.")
    return text.format(jobs=counted, months=say_months(months), day=written(after))


def _changes(days: int) -> str:
    if not days:
        return gettext("What a release since the sign-off asks for, at once.")
    text = gettext("What a release since the sign-off asks for, within {days} days.")
    return text.format(days=days)


def _earlier(titles: tuple[str, ...]) -> str:
    return gettext("Alone at {titles}.").format(titles=join_and(titles))


def _readings(titles: tuple[str, ...]) -> str:
    text = gettext("Before a sign-off: the current revision of {titles} read.")
    return text.format(titles=join_and(titles))


def _quiz(percent: int) -> str:
    text = gettext(
        "Before a sign-off: the latest sitting of the quiz passed with {percent} %, every critical "
        "question right."
    )
    return text.format(percent=percent)


def _watched_jobs(jobs: int, per_option: bool) -> str:
    if not per_option:
        return gettext("Before a sign-off: watched jobs, {jobs}.").format(jobs=jobs)
    text = gettext(
        "Before a sign-off: watched jobs, {jobs}, at least one for every option of a fork."
    )
    return text.format(jobs=jobs)


def _observations(number: int, observers: int) -> str:
    if observers < 2:
        text = gettext("Before a sign-off: observations done right, {number}.")
        return text.format(number=number)
    text = gettext(
        "Before a sign-off: observations done right, {number}, by {observers} different observers."
    )
    return text.format(number=number, observers=observers)


def _held_first(titles: tuple[str, ...]) -> str:
    return gettext("Held first: {titles}.").format(titles=", ".join(titles))


def _read_first(titles: tuple[str, ...]) -> str:
    return gettext("Read: the current revision of {titles}.").format(titles=", ".join(titles))


def _pass_percent(percent: int) -> str:
    text = gettext("The quiz passed with {percent} % and every critical question right.")
    return text.format(percent=percent)


def _watched_first(jobs: int, per_option: bool) -> str:
    if not per_option:
        return gettext("Watched jobs: {jobs}.").format(jobs=jobs)
    text = gettext("Watched jobs: {jobs}, at least one for every option of a fork.")
    return text.format(jobs=jobs)


def _observed_first(number: int, observers: int) -> str:
    if observers < 2:
        return gettext("Observations: {number}.").format(number=number)
    text = gettext("Observations: {number}, by {observers} different observers.")
    return text.format(number=number, observers=observers)


def _valid_months(months: int) -> str:
    return gettext("A sign-off is valid for {months} months.").format(months=months)


def _in_practice(jobs: int, months: int) -> str:
    return gettext("In practice: {jobs} jobs in {months} months.").format(jobs=jobs, months=months)


def _practice_from(first: date, months: int) -> str:
    text = gettext("Jobs are written down since {day}; practice is asked {months} months later.")
    return text.format(day=written(first), months=months)


def _grace_days(days: int) -> str:
    return gettext("Days of grace after a release: {days}.").format(days=days)


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
