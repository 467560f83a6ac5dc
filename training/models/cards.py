"""Which cards did people get, whose code leads to what they may do at that moment?"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from training.models.people import User


class Card(models.Model):
    """A card in somebody's pocket. It says nothing itself; its code leads to the answer of the
    moment, until it is withdrawn.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="cards")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    objects: ClassVar[models.Manager[Card]] = models.Manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["person"],
                # Ended ones stay: a lost card that turns up has to be known as withdrawn.
                condition=Q(ended_at__isnull=True),
                name="one_card_at_a_time",
                violation_error_message=gettext_lazy("This person has a card already."),
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_by__isnull=False),
                name="card_ended_by_somebody",
                violation_error_message=gettext_lazy("Say who withdrew the card."),
            ),
        ]

    def __str__(self) -> str:
        return f"card of {self.person}"
