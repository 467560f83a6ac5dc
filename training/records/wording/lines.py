"""How is one entry of the record told in a line: whole sentences, one after another?"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from training.records.wording.pieces import write_options, write_percent


def say_job(watcher: str, fork: Mapping[str, str]) -> str:
    """Return how a job was done, and on which fork."""
    options = write_options(fork.items())
    # Four whole sentences: glued from pieces they could not be put into another language.
    if watcher and options:
        text = gettext("Job supervised by {watcher}, with {options}.")
    elif watcher:
        text = gettext("Job supervised by {watcher}.")
    elif options:
        text = gettext("Job done alone, with {options}.")
    else:
        text = gettext("Job done alone.")
    return text.format(watcher=watcher, options=options)


def say_came_back() -> str:
    """Return that the customer's fork or shock came back."""
    return gettext("It came back.")


def say_unconfirmed(reason: str = "") -> str:
    """Return that a job does not count, because nobody confirmed it, or the watcher refused to."""
    if not reason:
        return gettext("It does not count: it is not confirmed yet.")
    return gettext(
        "It does not count: the mechanic who watched did not confirm it ({reason})."
    ).format(reason=reason)


def say_late(days: int) -> str:
    """Return that an entry was logged later than the shop lets people do it themselves; nothing
    where it was not.
    """
    if not days:
        return ""
    return ngettext("Logged {days} day later.", "Logged {days} days later.", days).format(days=days)


def say_observation(observer: str, fork: Mapping[str, str], *, right: bool) -> str:
    """Return who saw a job, on which fork, and whether it was right."""
    options = write_options(fork.items())
    if right:
        text = (
            gettext("Seen done right by {observer}, with {options}.")
            if options
            else gettext("Seen done right by {observer}.")
        )
    else:
        text = (
            gettext("Seen by {observer}, with {options}: not right.")
            if options
            else gettext("Seen by {observer}: not right.")
        )
    return text.format(observer=observer, options=options)


def say_quiz(percent: Decimal, *, critical_right: bool) -> str:
    """Return the result of a quiz of which the pass mark is not told."""
    text = (
        gettext("Quiz: {percent}, every critical question right.")
        if critical_right
        else gettext("Quiz: {percent}, a critical question wrong.")
    )
    return text.format(percent=write_percent(percent))


def say_sitting(percent: Decimal, asked: int, *, critical_right: bool) -> str:
    """Return whether a sitting was passed, and with what."""
    # What was reached is told first, and a critical wrong even where the mark was missed: both are
    # to be learnt.
    if percent < asked and critical_right:
        text = gettext("Quiz not passed: {percent} (pass mark {asked} %).")
    elif percent < asked:
        text = gettext(
            "Quiz not passed: {percent} (pass mark {asked} %), and a critical question was wrong."
        )
    elif critical_right:
        text = gettext("Quiz passed: {percent} (pass mark {asked} %).")
    else:
        text = gettext("Quiz not passed: {percent}, but a critical question was wrong.")
    return text.format(percent=write_percent(percent), asked=asked)


def say_paper_quiz(percent: Decimal, *, critical_right: bool) -> str:
    """Return the result of a quiz on paper."""
    text = (
        gettext("Quiz on paper: {percent}, every critical question right.")
        if critical_right
        else gettext("Quiz on paper: {percent}, a critical question wrong.")
    )
    return text.format(percent=write_percent(percent))


def say_taken_back() -> str:
    """Return that a job was taken back."""
    return gettext("It was taken back, so it never counted.")


def say_sign_off(signed: str, forks: str) -> str:
    """Return who signed off, for which forks."""
    return gettext("{signed}, {forks}.").format(signed=signed, forks=forks)


def say_stand_down(by: str) -> str:
    """Return who stood somebody down."""
    return gettext("Stood down by {by}.").format(by=by)


def say_allowed(on: date | None, by: str = "") -> str:
    """Return since when the work is allowed again; that it is not yet, where there is no day."""
    if on is None:
        return gettext("Not allowed again yet.")
    text = (
        gettext("Allowed again from {day}, by {by}.")
        if by
        else gettext("Allowed again from {day}.")
    )
    return text.format(day=say_day(on), by=by)


def say_reading(title: str, number: int) -> str:
    """Return which revision was read."""
    return gettext("Read {title}, revision {number}.").format(title=title, number=number)


def say_appointment(by: str, until: date | None) -> str:
    """Return who appointed somebody to sign off, and until when."""
    if until is None:
        return gettext("Appointed by {by}.").format(by=by)
    return gettext("Appointed by {by} until {day}.").format(by=by, day=say_day(until))


def say_appointment_ended(by: str, last: date) -> str:
    """Return who ended an appointment, and its last day."""
    text = gettext("{by} ended it. The last day is {day}.")
    return text.format(by=by, day=say_day(last))


def say_cancelled(reason: str, by: str, on: date) -> str:
    """Return that an entry was cancelled, why and by whom."""
    text = gettext("Cancelled by {by} on {day}, so it never counted. Reason: {reason}")
    return text.format(by=by, day=say_day(on), reason=reason)
