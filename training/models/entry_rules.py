"""How late may a job be entered?"""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.validators import MaxValueValidator
from django.db import models

from procedures.models.booking import Book, Seal
from procedures.records.statements import prepare_once
from training.models.people import User

DAYS_BACK = 14  # until an owner sets another number


class EntryRules(models.Model):
    """One version of the rules for late entries; the newest one holds. Never changed."""

    KIND: ClassVar[str] = "entry rules"
    BOOK: ClassVar[Book] = {1: ("days_back", "by", "recorded_at")}
    SEAL: ClassVar[Seal] = Seal("An entry is never changed or deleted; a later entry corrects it.")

    days_back = models.PositiveIntegerField(validators=[MaxValueValidator(3660)])
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "entry rules"

    def __str__(self) -> str:
        return f"{self.days_back} days"


def days_back() -> int:
    """How many days back somebody may enter a job alone."""
    return next((days for (days,) in _ask_newest()), DAYS_BACK)


@prepare_once
def _ask_newest() -> models.QuerySet[Any]:
    return EntryRules.objects.order_by("-pk").values_list("days_back")[:1]
