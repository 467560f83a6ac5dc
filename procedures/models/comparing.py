"""What does a change of a revision ask, where somebody decided otherwise than the comparison
suggests?
"""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from procedures.models.booking import Seal
from procedures.models.writeups import Asks, Revision

RELEASED = (
    "EXISTS (SELECT 1 FROM procedures_revision WHERE id = {row}.revision_id AND released_on IS "
    "NOT NULL)"
)


class AskedOfChange(models.Model):
    """What one changed step asks by a person's decision. `change` names the very change that it was
    decided for: a decision for less counts for no other one. Sealed with the release of its
    revision, and in the book with it."""

    SEAL: ClassVar[Seal] = Seal(
        "What a change asks is decided before the release.", when=RELEASED, insert_when=RELEASED
    )

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="decisions")
    step = models.TextField(blank=True, help_text="Its id; empty for what stands around the steps.")
    asks = models.CharField(max_length=20, choices=Asks)
    suggested = models.CharField(
        max_length=20, choices=Asks, help_text="What the comparison suggested then."
    )
    reason = models.TextField(blank=True, help_text="Why less is asked than suggested.")
    change = models.CharField(
        max_length=64, help_text="SHA-256 of the change that it was decided for."
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["revision", "step"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "step"], name="asked_of_change_once"),
            models.CheckConstraint(
                condition=Q(asks__in=Asks.values, suggested__in=Asks.values),
                name="asked_of_change_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.revision}, {self.step or 'around the steps'}: {self.asks}"
