"""What links every entry of the shop into one chain?"""

from typing import ClassVar

from django.db import models

from procedures.booking import Seal


class BookEntry(models.Model):
    """One link: the canonical JSON of what was recorded, and a hash over it and the link before."""

    SEAL: ClassVar[Seal] = Seal("An entry is never changed or deleted; a later entry corrects it.")

    number = models.PositiveBigIntegerField(primary_key=True)
    kind = models.CharField(max_length=30)
    row = models.BigIntegerField(help_text="The key of the row this entry is about.")
    written_at = models.DateTimeField()
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
    """The last link. One row, locked by every writer, so that there is one order even with many of them."""

    number = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_book")]

    def __str__(self) -> str:
        return f"head at entry {self.number}"
