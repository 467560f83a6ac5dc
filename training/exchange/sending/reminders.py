"""How does the daily mail get to those who want it, and never twice on a day?

The row of the day is taken, and kept, before anything is sent. So whatever happens after it, a
second mail is never sent: a run that was cut off leaves the row as taken, and a server that was
gone before it answered leaves it as unclear. Only what the server surely did not take is tried
again by a later run of the day.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils.translation import gettext

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from procedures.writeup.letters import strip_hidden
from training.actions.reminders import note_end, take_day
from training.exchange.sending.mail_address import send_link
from training.exchange.sending.mails import check_mail_settings, send_mail
from training.models import MailWish, Reminder
from training.models.reminders import AGAIN, NOTHING
from training.reports.reminders import Reminding, gather_reminder, wishes
from training.reports.stop_mail import stop_path

UNCONFIRMED = "unconfirmed"  # no state of a day: nothing was to be sent


@dataclass(frozen=True, slots=True)
class MailOutcome:
    """How it went with one person's mail: the state that was kept, and what the server said."""

    login: str
    state: str
    told: str = ""
    is_new: bool = True  # decided by this run


def send_reminders(now: datetime) -> Iterator[MailOutcome]:
    """Sends to each person who wants it the mail of their day, and tells how it went, one by one.
    Raises Refused where mail is not set up.
    """
    check_mail_settings()
    for wish in wishes():
        yield _remind(wish, now) if wish.confirmed_at else _ask(wish, now)


def _ask(wish: MailWish, now: datetime) -> MailOutcome:
    """Nothing goes to an address that is not confirmed but the link that confirms it, once; such as
    to one that was saved before mail was set up.
    """
    told = ""
    if wish.asked_at is None:
        try:
            send_link(wish, now=now)
        except Refused as refused:
            told = refused.message
    return MailOutcome(wish.person.login, UNCONFIRMED, told)


def _remind(wish: MailWish, now: datetime) -> MailOutcome:
    person, day = wish.person, wish.person.workshop.day_of(now)
    before = Reminder.objects.filter(person=person, day=day).first()
    if before is not None and before.state not in AGAIN:
        return MailOutcome(person.login, before.state, before.told, is_new=False)
    # Made before the day is taken: a fault in it must not cost the person the mail of the day.
    told = gather_reminder(person, on=day, now=now)
    if not take_day(person=person, day=day, now=now):
        taken = Reminder.objects.get(person=person, day=day)
        return MailOutcome(person.login, taken.state, taken.told, is_new=False)
    state, said = (NOTHING, "") if told.is_empty else send_mail(write_mail(wish, told))
    note_end(person=person, day=day, state=state, told=said, now=now)
    return MailOutcome(person.login, state, said)


def write_mail(wish: MailWish, told: Reminding) -> EmailMultiAlternatives:
    """The mail as plain text and HTML, with a way out that needs no signing in (RFC 8058)."""
    person = wish.person
    stop = settings.SITE_ADDRESS + stop_path(wish)
    context = {"told": told, "person": person, "stop": stop, "site": settings.SITE_ADDRESS}
    shop = " ".join(strip_hidden(person.workshop.name).split())
    headers = {
        "List-Unsubscribe": f"<{stop}>",
        # so that nobody's absence note answers it: RFC 3834, 5
        "Auto-Submitted": "auto-generated",
    }
    # One click needs HTTPS: RFC 8058, 3.1.
    if stop.startswith("https:"):
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    mail = EmailMultiAlternatives(
        gettext("{shop}: your reminder for {day}").format(shop=shop, day=say_day(told.on)),
        render_to_string("training/reminder.txt", context),
        settings.DEFAULT_FROM_EMAIL,
        # The bare address: no name that somebody chose stands in a header.
        [wish.address],
        headers=headers,
    )
    mail.attach_alternative(render_to_string("training/reminder.html", context), "text/html")
    return mail
