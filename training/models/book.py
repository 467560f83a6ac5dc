"""What links every entry of the shop into one chain, and which instant is it by that chain?"""

from datetime import datetime
from typing import Any, ClassVar

from django.db import models
from django.utils import timezone

from procedures.models.booking import Seal
from procedures.records.statements import prepare_once


class BookEntry(models.Model):
    """One link: the canonical JSON of what was recorded, and a hash over it and the link before."""

    SEAL: ClassVar[Seal] = Seal("An entry is never changed or deleted; a later entry corrects it.")

    # Given by the chain and not by the database, whose sequences leave gaps after a rollback.
    number = models.PositiveBigIntegerField(primary_key=True)
    kind = models.CharField(max_length=30)
    # No foreign key: the book must hold still when a row that it names is gone, and say so.
    row = models.BigIntegerField(help_text="The key of the row this entry is about.")
    # When it came into the book: `recorded_at` of what is brought in is older.
    written_at = models.DateTimeField()
    # Text and not JSON: PostgreSQL keeps jsonb in an order of its own, and the hash is over these
    # bytes.
    body = models.TextField()
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "book entries"
        indexes = [models.Index(fields=["kind", "row"], name="book_entry_about")]

    def __str__(self) -> str:
        return f"entry {self.number}: {self.kind}"


class BookHead(models.Model):
    """The last link. One row, locked by every writer, so that there is one order even with many of
    them.
    """

    number = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64)

    class Meta:
        # A second head would be a second order, and each writer would lock its own.
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_book")]

    def __str__(self) -> str:
        return f"head at entry {self.number}"


def newest_instant() -> datetime | None:
    """The instant at which the newest entry was written; None while there is none."""
    return next((at for (at,) in _ask_newest()), None)


@prepare_once
def _ask_newest() -> models.QuerySet[Any]:
    return BookEntry.objects.order_by("-number").values_list("written_at")[:1]


def shop_now() -> datetime:
    """The instant it is for whoever asks who may do what: the machine's, but never one before the
    newest entry.

    So a clock that was set back brings nothing back that is over, and hides nothing that is written
    down.
    """
    now, newest = timezone.now(), newest_instant()
    # Only for whoever looks: a write asks `moment()`, which refuses in this case.
    return now if newest is None else max(now, newest)
