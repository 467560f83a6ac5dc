"""How is it said whether somebody is at work on a day, and that the shop is closed?"""

from datetime import date

from django.utils.translation import gettext

from procedures.records.days.reader import say_weekday


def say_presence(at_work: bool | None) -> str:
    """Return in words whether somebody is at work on the day asked about; None: the rota says
    nothing of them.
    """
    if at_work is None:
        return gettext("not on the rota")
    return gettext("at work") if at_work else gettext("away")


def say_closed(on: date) -> str:
    """Return that the shop is closed on a day, and why."""
    return gettext("The shop is closed: nobody on the rota works on a {weekday}.").format(
        weekday=say_weekday(on)
    )
