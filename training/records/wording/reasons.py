"""How is said why somebody is not alone at a level, or why a sign-off cannot be given?

The standing gives codes with named arguments. This room is their one catalogue, for pages, commands
and what programs get; each is a whole sentence, so that another language can be added sentence by
sentence.
"""

from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext, gettext_noop, ngettext

from training.records.wording.pieces import join_and, write_limits, write_options, write_percent
from training.standing.calendar import written
from training.standing.evidence import Limits
from training.standing.results import Args, Reason

Pairs = tuple[tuple[str, str], ...]


def say_reason(reason: Reason) -> str:
    """Return the sentence of a reason."""
    return REASONS[reason.code](**dict(reason.args))


def say_first(reasons: Iterable[Reason]) -> str:
    """Return the sentence of the first reason; nothing where there is none."""
    return next(map(say_reason, reasons), "")


def _not_here(
    login: str = "", name: str = "", left: date | None = None, starts: date | None = None
) -> str:
    if left is not None:
        text = gettext("{name} left; the last day was {day}.")
        return text.format(name=name, day=written(left))
    if starts is not None:
        return gettext("{name} starts on {day}.").format(name=name, day=written(starts))
    return gettext("{login} is not among the shop's people.").format(login=login)


def _stood_down(rows: tuple[tuple[str, date, str], ...]) -> str:
    from_all = gettext("from all work since {day} by {name}")
    from_one = gettext("from {title} since {day} by {name}")
    told = [
        (from_one if title else from_all).format(title=title, day=written(day), name=name)
        for title, day, name in rows
    ]
    return gettext("Stood down {stops}.").format(stops=join_and(told))


def _not_entitled(day: date, signer: str, why: str, title: str) -> str:
    text = {
        "signed for oneself": gettext(
            "The sign-off of {day} by {signer} does not hold: nobody signs for themselves."
        ),
        "not appointed": gettext(
            "The sign-off of {day} by {signer} does not hold: the signer was not appointed for "
            "{title} on that day."
        ),
        "not alone": gettext(
            "The sign-off of {day} by {signer} does not hold: the signer was not alone at {title} "
            "on that day for all that it covers."
        ),
    }[why]
    return text.format(day=written(day), signer=signer, title=title)


def _not_covered(day: date, signer: str, limits: Limits) -> str:
    text = gettext("The sign-off of {day} by {signer} covers only {limits}.")
    return text.format(day=written(day), signer=signer, limits=write_limits(limits))


def _ended(day: date, signer: str, last: date) -> str:
    text = gettext("The sign-off of {day} by {signer} ended on {last}.")
    return text.format(day=written(day), signer=signer, last=written(last))


def _no_sign_off(title: str) -> str:
    return gettext("No sign-off for {title} yet.").format(title=title)


def _out_of_practice(done: int, asked: int, since: date) -> str:
    text = ngettext(
        "{done} of {asked} job since {since}, and no sign-off since then.",
        "{done} of {asked} jobs since {since}, and no sign-off since then.",
        asked,
    )
    return text.format(done=done, asked=asked, since=written(since))


def _of_changes(text: str) -> Callable[..., str]:
    def say(revisions: tuple[tuple[str, int, date], ...]) -> str:
        one = gettext("{title} revision {number} of {day}")
        told = [
            one.format(title=title, number=number, day=written(day))
            for title, number, day in revisions
        ]
        return gettext(text).format(revisions=join_and(told))

    return say


def _earlier(levels: tuple[Args, ...] = (), circle: str = "") -> str:
    if circle:
        text = gettext("{title} comes, through its earlier levels, before itself.")
        return text.format(title=circle)
    told = [_earlier_one(**dict[str, Any](level)) for level in levels]
    return gettext("An earlier level is not held: {levels}.").format(levels=join_and(told))


def _earlier_one(
    title: str = "", standing: str = "", reason: Reason | None = None, unknown: str = ""
) -> str:
    if unknown:
        return gettext("{level} is not among the shop's levels").format(level=unknown)
    if reason is None:
        text = gettext("at {title} the standing is {standing}")
        return text.format(title=title, standing=standing)
    text = gettext("at {title} the standing is {standing} ({because})")
    because = say_reason(reason).rstrip(".")
    return text.format(title=title, standing=standing, because=because)


def _not_read(revisions: tuple[tuple[str, int], ...]) -> str:
    one = gettext("{title} revision {number}")
    told = [one.format(title=title, number=number) for title, number in revisions]
    return gettext("Not read yet: {revisions}.").format(revisions=join_and(told))


def _not_passed(
    title: str,
    percent: Decimal | None = None,
    day: date | None = None,
    asked: int = 0,
    last: date | None = None,
) -> str:
    if day is None:
        text = gettext("The quiz of {title} is not passed: no sitting yet.")
        return text.format(title=title)
    if last is not None:
        text = gettext("The pass of {day} in the quiz of {title} ended on {last}.")
        return text.format(day=written(day), title=title, last=written(last))
    text = gettext("The quiz of {title} is not passed: {percent} on {day}, {asked} % asked.")
    reached = write_percent(percent or Decimal(0))
    return text.format(title=title, percent=reached, day=written(day), asked=asked)


def _critical_wrong(title: str, percent: Decimal, day: date) -> str:
    text = gettext(
        "The quiz of {title} is not passed: {percent} on {day}, but with a critical question wrong."
    )
    return text.format(title=title, percent=write_percent(percent), day=written(day))


def _too_few_jobs(done: int, asked: int, lacking: Pairs) -> str:
    if not lacking:
        text = ngettext("{done} of {asked} watched job.", "{done} of {asked} watched jobs.", asked)
        return text.format(done=done, asked=asked)
    text = ngettext(
        "{done} of {asked} watched job; none yet with {options}.",
        "{done} of {asked} watched jobs; none yet with {options}.",
        asked,
    )
    options = join_and([write_options([pair]) for pair in lacking])
    return text.format(done=done, asked=asked, options=options)


def _not_observed(done: int, asked: int, observers: int, observers_asked: int) -> str:
    if observers_asked < 2:
        text = ngettext(
            "{done} of {asked} observation done right.",
            "{done} of {asked} observations done right.",
            asked,
        )
        return text.format(done=done, asked=asked)
    text = ngettext(
        "{done} of {asked} observation done right, by {observers} of {observers_asked} different "
        "observers.",
        "{done} of {asked} observations done right, by {observers} of {observers_asked} different "
        "observers.",
        asked,
    )
    numbers = {"observers": observers, "observers_asked": observers_asked}
    return text.format(done=done, asked=asked, **numbers)


def _signs_for_self() -> str:
    return gettext("Nobody signs for themselves.")


def _not_appointed(name: str, title: str, day: date) -> str:
    text = gettext("{name} has no appointment to sign off for {title} on {day}.")
    return text.format(name=name, title=title, day=written(day))


def _signer_not_alone(
    options: Pairs,
    name: str = "",
    title: str = "",
    day: date = date.min,
    reason: Reason | None = None,
) -> str:
    if reason is None:
        return gettext("A sign-off with limits names at least one option for each variant.")
    because = say_reason(reason)
    if not options:
        text = gettext("{name} is not alone at {title} on {day}: {because}")
        return text.format(name=name, title=title, day=written(day), because=because)
    text = gettext("{name} is not alone at {title} with {options} on {day}: {because}")
    told = write_options(options)
    return text.format(name=name, title=title, options=told, day=written(day), because=because)


REASONS: dict[str, Callable[..., str]] = {
    "not-here": _not_here,
    "stood-down": _stood_down,
    "no-sign-off": _no_sign_off,
    "signer-not-entitled": _not_entitled,
    "variant-not-covered": _not_covered,
    "sign-off-ended": _ended,
    "out-of-practice": _out_of_practice,
    "change-not-read": _of_changes(gettext_noop("Not read yet: {revisions}.")),
    "change-not-answered": _of_changes(
        gettext_noop("The quiz is not passed since the release of {revisions}.")
    ),
    "change-not-shown": _of_changes(
        gettext_noop("Not seen done right since the release of {revisions}.")
    ),
    "earlier-level": _earlier,
    "not-read": _not_read,
    "quiz-not-passed": _not_passed,
    "critical-wrong": _critical_wrong,
    "too-few-watched-jobs": _too_few_jobs,
    "not-observed": _not_observed,
    "signs-for-self": _signs_for_self,
    "not-appointed": _not_appointed,
    "signer-not-alone": _signer_not_alone,
}
"""The sentence of each reason, made from its arguments."""
