"""By which name is an entry told to people?"""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day
from training.records.wording.pieces import write_percent
from training.standing.results import EntryName


def say_entry(name: EntryName) -> str:
    """Return the name of an entry in words."""
    return ENTRIES[name.code](**dict(name.args))


def _reading(title: str, number: int, day: date) -> str:
    text = gettext("read {title} revision {number} on {day}")
    return text.format(title=title, number=number, day=say_day(day))


def _sitting(day: date, percent: Decimal) -> str:
    text = gettext("sitting of {day}: {percent}")
    return text.format(day=say_day(day), percent=write_percent(percent))


def _paper_pass(day: date, percent: Decimal) -> str:
    text = gettext("quiz on paper of {day}: {percent}")
    return text.format(day=say_day(day), percent=write_percent(percent))


def _job(day: date, late: int) -> str:
    if not late:
        return gettext("job of {day}").format(day=say_day(day))
    text = ngettext(
        "job of {day} (logged {days} day later)", "job of {day} (logged {days} days later)", late
    )
    return text.format(day=say_day(day), days=late)


def _observation(name: str, day: date) -> str:
    return gettext("observed by {name} on {day}").format(name=name, day=say_day(day))


def _sign_off(day: date, name: str) -> str:
    return gettext("sign-off of {day} by {name}").format(day=say_day(day), name=name)


def _founding(day: date, name: str) -> str:
    text = gettext("first sign-off of {day} by the owner, {name}")
    return text.format(day=say_day(day), name=name)


def _founding_own(day: date, name: str) -> str:
    text = gettext("first sign-off of {day} by the owner, {name}, for themselves")
    return text.format(day=say_day(day), name=name)


def _stand_down(day: date, name: str) -> str:
    return gettext("stood down from {day} by {name}").format(day=say_day(day), name=name)


def _appointment(name: str, day: date) -> str:
    return gettext("appointed by {name} from {day}").format(name=name, day=say_day(day))


def _revision(title: str, number: int) -> str:
    return gettext("{title} (revision {number})").format(title=title, number=number)


ENTRIES: dict[str, Callable[..., str]] = {
    "reading": _reading,
    "sitting": _sitting,
    "paper-pass": _paper_pass,
    "job": _job,
    "observation": _observation,
    "sign-off": _sign_off,
    "founding": _founding,
    "founding-own": _founding_own,
    "stand-down": _stand_down,
    "appointment": _appointment,
    "revision": _revision,
}
"""The name of each kind of entry, made from its arguments."""
