"""How does a mail address come to be confirmed, and who hears that it changed?"""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.utils.translation import gettext

from procedures.records.refused import Refused
from procedures.writeup.letters import strip_hidden
from training.actions.reminders import count_address_mail, note_link, set_wish
from training.exchange.sending.mails import check_mail_settings, send_mail
from training.models import MailWish, User
from training.models.reminders import FAILED
from training.reports.confirm_mail import LINK_LIVES, confirm_path


def save_wish(*, person: User, address: str, is_wanted: bool, now: datetime) -> MailWish:
    """Where this person wants the daily mail, and whether. A confirmed address that another one
    takes the place of hears of it. Raises Refused.
    """
    before = MailWish.objects.filter(person=person).first()
    is_told = before and before.confirmed_at and before.address != address and settings.EMAIL_HOST
    if before and is_told:
        # Counted before anything is saved: no change of which the old address does not hear.
        count_address_mail(person=person, address=before.address, now=now)
    wish = set_wish(person=person, address=address, is_wanted=is_wanted, now=now)
    if before and is_told:
        # What the server says of it changes nothing: an old address may be gone for good.
        context = {"person": person, "at": now}
        send_mail(_write(before, "training/address_changed.txt", _say_changed(person), context))
    return wish


def send_link(wish: MailWish, *, now: datetime) -> None:
    """Sends the link that confirms the address there. Raises Refused where mail is not set up,
    where there were too many, and where the server does not take it.
    """
    check_mail_settings()
    sent = count_address_mail(person=wish.person, address=wish.address, now=now)
    link = settings.SITE_ADDRESS + confirm_path(wish)
    context = {"person": wish.person, "link": link, "days": LINK_LIVES.days}
    title = gettext("{shop}: confirm your mail address").format(shop=_shop(wish.person))
    state, said = send_mail(_write(wish, "training/confirm_mail.txt", title, context))
    note_link(wish=wish, sent=sent, is_gone=state != FAILED, now=now)
    if state == FAILED:
        text = gettext("The mail server did not take the mail: {said}")
        raise Refused(text.format(said=said))


def _say_changed(person: User) -> str:
    return gettext("{shop}: your mail address was changed").format(shop=_shop(person))


def _shop(person: User) -> str:
    return " ".join(strip_hidden(person.workshop.name).split())


def _write(wish: MailWish, template: str, title: str, context: dict[str, object]) -> EmailMessage:
    # RFC 3834, 5: so that nobody's absence note answers it
    headers = {"Auto-Submitted": "auto-generated"}
    text = render_to_string(template, context)
    return EmailMessage(title, text, settings.DEFAULT_FROM_EMAIL, [wish.address], headers=headers)
