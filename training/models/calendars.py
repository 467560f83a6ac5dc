"""At which addresses do calendar programs ask, and what were they told last?"""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from training.models.people import User


class CalendarAddress(models.Model):
    """The secret address of somebody's own calendar, or of the whole shop's for an owner. The
    secret is kept nowhere: only its SHA-256, as of a program's token.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="calendar_addresses")
    is_shop = models.BooleanField(default=False, help_text="The whole shop, for an owner.")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    objects: ClassVar[models.Manager[CalendarAddress]] = models.Manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["person", "is_shop"],
                # Ended ones stay, so that a program that asks there is told to stop asking.
                condition=Q(ended_at__isnull=True),
                name="one_calendar_address_at_a_time",
                violation_error_message=gettext_lazy(
                    "There is an address of this calendar already."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"calendar of {self.person}"


class CalendarEvent(models.Model):
    """What calendar programs were told last about one thing, so that a change is told as a change
    of it, and what fell away as cancelled (RFC 5545, 3.8.7.4 and 3.8.1.11).
    """

    person = models.ForeignKey(
        User,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="calendar_events",
        help_text="Empty: the calendar of the shop.",
    )
    key = models.CharField(max_length=300, help_text="What it is about, within its calendar.")
    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    sequence = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    first = models.DateField()
    until = models.DateField()
    summary = models.CharField(max_length=400)
    details = models.TextField(blank=True)
    is_cancelled = models.BooleanField(default=False)
    objects: ClassVar[models.Manager[CalendarEvent]] = models.Manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["first", "pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["person", "key"],
                name="own_event_once",
                violation_error_message=gettext_lazy("This stands in the calendar already."),
            ),
            models.UniqueConstraint(
                fields=["key"],
                condition=Q(person__isnull=True),
                name="event_of_shop_once",
                violation_error_message=gettext_lazy(
                    "This stands in the calendar of the shop already."
                ),
            ),
            models.CheckConstraint(
                condition=Q(until__gte=F("first")),
                name="event_not_backwards",
                violation_error_message=gettext_lazy("An event ends on or after its first day."),
            ),
        ]

    def __str__(self) -> str:
        return self.summary
