"""Who wants a daily mail at which confirmed address, and who got one on which day?"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_lazy as _

from training.models.people import User

TAKEN, SENT, NOTHING = "taken", "sent", "nothing"
FAILED, UNCLEAR = "failed", "unclear"
STATES = (
    (TAKEN, _("taken, and not ended")),
    (SENT, _("sent")),
    (NOTHING, _("nothing to say")),
    (FAILED, _("not sent; tried again next time")),
    # The server was gone before it said whether it took the mail; a second one is worse than none.
    (UNCLEAR, _("perhaps sent; not tried again")),
)
AGAIN = (FAILED, NOTHING)  # what a later run of the same day may take up


class MailWish(models.Model):
    """Where somebody wants a daily mail; without a row, with the wish off, or before the address is
    confirmed, nobody gets one.
    """

    person = models.OneToOneField(
        User, on_delete=models.CASCADE, primary_key=True, related_name="mail_wish"
    )
    address = models.EmailField(blank=True)
    is_wanted = models.BooleanField(default=False)
    changed_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(
        null=True, blank=True, help_text="When the link that was sent there was opened."
    )
    mark = models.CharField(
        max_length=32, blank=True, help_text="What that link has to name; empty once it was used."
    )
    asked_at = models.DateTimeField(
        null=True, blank=True, help_text="When the link was sent there last."
    )
    objects: ClassVar[models.Manager[MailWish]] = models.Manager()

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=Q(is_wanted=False) | ~Q(address=""),
                name="wanted_mail_has_address",
                violation_error_message=gettext_lazy(
                    "Type the address to which the mail should go."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"mail of {self.person}"


class AddressMail(models.Model):
    """A mail about an address: the link that confirms it, or that another one took its place. Kept
    for a day, so that nobody fills a stranger's mailbox.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    address_hash = models.CharField(max_length=64, help_text="A keyed hash of the address.")
    at = models.DateTimeField(db_index=True)
    objects: ClassVar[models.Manager[AddressMail]] = models.Manager()

    def __str__(self) -> str:
        return f"mail about an address of {self.person}"


class Reminder(models.Model):
    """The mail of one person on one day of their workshop. The row is there before the mail is
    sent, so that of two timers only one sends.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="reminders")
    day = models.DateField()
    state = models.CharField(max_length=10, choices=STATES, default=TAKEN)
    at = models.DateTimeField()
    told = models.CharField(max_length=300, blank=True, help_text="What the mail server said.")
    objects: ClassVar[models.Manager[Reminder]] = models.Manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["day", "pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["person", "day"],
                name="one_reminder_a_day",
                violation_error_message=gettext_lazy(
                    "This person has a reminder of this day already."
                ),
            ),
            models.CheckConstraint(
                condition=Q(state__in=[state for state, said in STATES]),
                name="reminder_state_known",
                violation_error_message=gettext_lazy(
                    "A reminder is taken, sent, empty, failed or unclear."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.day}: {self.state}"
