"""How is said why somebody may not work alone at a level, or why a sign-off cannot be given?

The standing gives codes with named arguments. This room is their one catalogue, for pages, commands
and what programs get; each is a whole sentence, so that another language can be added sentence by
sentence.
"""

from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from training.records.wording.pieces import join_and, write_limits, write_options, write_percent
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
        text = gettext("{name} left. The last day of work was {day}.")
        return text.format(name=name, day=say_day(left))
    if starts is not None:
        return gettext("{name} starts on {day}.").format(name=name, day=say_day(starts))
    return gettext("Nobody in this shop has the login {login}.").format(login=login)


def _stood_down(rows: tuple[tuple[str, date, str], ...]) -> str:
    # Two sentences: "all work" in the place of a title would be wrong in most languages.
    from_all = gettext("Stood down from all work since {day}, by {name}.")
    from_one = gettext("Stood down from {title} since {day}, by {name}.")
    return " ".join(
        (from_one if title else from_all).format(title=title, day=say_day(day), name=name)
        for title, day, name in rows
    )


def _not_entitled(day: date, signer: str, why: str, title: str) -> str:
    text = {
        "signed for oneself": gettext(
            "The sign-off of {day} by {signer} does not count: nobody signs for themselves."
        ),
        "not appointed": gettext(
            "The sign-off of {day} by {signer} does not count: {signer} was not appointed to sign "
            "off {title} on that day."
        ),
        "not alone": gettext(
            "The sign-off of {day} by {signer} does not count: on that day {signer} could not work "
            "alone on everything that it covers at {title}."
        ),
    }[why]
    return text.format(day=say_day(day), signer=signer, title=title)


def _not_covered(day: date, signer: str, limits: Limits) -> str:
    text = gettext("The sign-off of {day} by {signer} is only for {limits}.")
    return text.format(day=say_day(day), signer=signer, limits=write_limits(limits))


def _ended(day: date, signer: str, last: date) -> str:
    text = gettext("The sign-off of {day} by {signer} was valid until {last}.")
    return text.format(day=say_day(day), signer=signer, last=say_day(last))


def _no_sign_off(title: str) -> str:
    return gettext("Not signed off for {title} yet.").format(title=title)


def _out_of_practice(done: int, asked: int, since: date) -> str:
    text = ngettext(
        "Not current: {done} of {asked} job done since {since}, and no sign-off since then.",
        "Not current: {done} of {asked} jobs done since {since}, and no sign-off since then.",
        asked,
    )
    return text.format(done=done, asked=asked, since=say_day(since))


def _name_released(revisions: tuple[tuple[str, int, date], ...]) -> str:
    one = gettext("{title} (revision {number} of {day})")
    return join_and(
        [
            one.format(title=title, number=number, day=say_day(day))
            for title, number, day in revisions
        ]
    )


def _change_not_read(revisions: tuple[tuple[str, int, date], ...]) -> str:
    return gettext("Not read yet: {revisions}.").format(revisions=_name_released(revisions))


def _change_not_answered(revisions: tuple[tuple[str, int, date], ...]) -> str:
    text = ngettext(
        "Quiz not passed since this was released: {revisions}.",
        "Quiz not passed since these were released: {revisions}.",
        len(revisions),
    )
    return text.format(revisions=_name_released(revisions))


def _change_not_shown(revisions: tuple[tuple[str, int, date], ...]) -> str:
    text = ngettext(
        "Not seen done right since this was released: {revisions}.",
        "Not seen done right since these were released: {revisions}.",
        len(revisions),
    )
    return text.format(revisions=_name_released(revisions))


def _earlier(levels: tuple[Args, ...] = (), circle: str = "") -> str:
    if circle:
        text = gettext(
            "By its earlier levels, {title} needs itself first. Ask the owner to correct the "
            "rules of these levels."
        )
        return text.format(title=circle)
    # Whole sentences side by side may be joined by a space; pieces of one may not.
    return " ".join(_earlier_one(**dict[str, Any](level)) for level in levels)


def _earlier_one(
    title: str = "", standing: str = "", reason: Reason | None = None, unknown: str = ""
) -> str:
    if unknown:
        text = gettext("Needs {level} first, but the shop has no such level.")
        return text.format(level=unknown)
    if reason is None:
        return gettext("Needs {title} first.").format(title=title)
    text = gettext("Needs {title} first: {because}")
    return text.format(title=title, because=say_reason(reason))


def _not_read(revisions: tuple[tuple[str, int], ...]) -> str:
    one = gettext("{title} (revision {number})")
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
        return gettext("Quiz of {title} not passed: no sitting yet.").format(title=title)
    if last is not None:
        text = gettext("Quiz of {title}: the pass of {day} was valid until {last}.")
        return text.format(day=say_day(day), title=title, last=say_day(last))
    text = gettext("Quiz of {title} not passed: {percent} on {day} (pass mark {asked} %).")
    # `percent` comes with every sitting; the default only serves the other two forms.
    reached = write_percent(percent or Decimal(0))
    return text.format(title=title, percent=reached, day=say_day(day), asked=asked)


def _critical_wrong(title: str, percent: Decimal, day: date) -> str:
    text = gettext(
        "Quiz of {title} not passed: {percent} on {day}, but a critical question was wrong."
    )
    return text.format(title=title, percent=write_percent(percent), day=say_day(day))


def _too_few_jobs(done: int, asked: int, lacking: Pairs) -> str:
    if not lacking:
        text = ngettext(
            "{done} of {asked} supervised job done.",
            "{done} of {asked} supervised jobs done.",
            asked,
        )
        return text.format(done=done, asked=asked)
    text = ngettext(
        "{done} of {asked} supervised job done, and none with {options} yet.",
        "{done} of {asked} supervised jobs done, and none with {options} yet.",
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
    return gettext("You cannot sign for yourself. Ask somebody else.")


def _not_appointed(name: str, title: str, day: date) -> str:
    text = gettext("{name} is not appointed to sign off {title} on {day}.")
    return text.format(name=name, title=title, day=say_day(day))


def _signer_not_alone(
    options: Pairs,
    name: str = "",
    title: str = "",
    day: date = date.min,
    reason: Reason | None = None,
) -> str:
    if reason is None:
        return gettext("Choose at least one option of each variant that limits the sign-off.")
    because = say_reason(reason)
    if not options:
        text = gettext("{name} may not work alone at {title} on {day}: {because}")
        return text.format(name=name, title=title, day=say_day(day), because=because)
    text = gettext("{name} may not work alone at {title} with {options} on {day}: {because}")
    told = write_options(options)
    return text.format(name=name, title=title, options=told, day=say_day(day), because=because)


REASONS: dict[str, Callable[..., str]] = {
    "not-here": _not_here,
    "stood-down": _stood_down,
    "no-sign-off": _no_sign_off,
    "signer-not-entitled": _not_entitled,
    "variant-not-covered": _not_covered,
    "sign-off-ended": _ended,
    "out-of-practice": _out_of_practice,
    "change-not-read": _change_not_read,
    "change-not-answered": _change_not_answered,
    "change-not-shown": _change_not_shown,
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
