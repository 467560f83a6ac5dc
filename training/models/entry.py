"""What has every entry in common?"""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from procedures.models.booking import Book, Layout, Seal
from training.models.people import User

ENTRY: Layout = ("happened_on", "recorded_at", "recorded_by")


class Entry(models.Model):
    """What all evidence has in common: the day it happened on, and the instant from which the shop
    knew.
    """

    happened_on = models.DateField()
    # Two times: "as known last month" needs when the shop knew, standing the day it happened.
    recorded_at = models.DateTimeField(db_index=True)
    # Null: what is brought in was recorded by nobody here.
    recorded_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    KIND: ClassVar[str] = ""
    BOOK: ClassVar[Book] = {}
    BOOK_NAME: ClassVar[str] = "{pk}"
    SEAL: ClassVar[Seal] = Seal("An entry is never changed or deleted; a later entry corrects it.")

    class Meta:
        abstract = True
        # The order of recording; days can be entered late.
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.KIND} of {self.happened_on}"
