"""What stands between a quiz not passed and the next sitting, and how long did a sitting take?

Rows here are written once. The two statements are evidence: each is a link in the record book.
"""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy

from procedures.models.booking import Book, Column, Layout, Seal
from quizzes.models.questions import ENDED, Sitting

SIGNED: Layout = (
    Column("person", "sitting.person"),
    Column("quiz", "sitting.quiz"),
    "sitting",
    "by",
    "meaning",
    "printed_name",
    "shown_digest",
    Column("on", "happened_on"),
    "recorded_at",
)


class MoreTime(models.Model):
    """Somebody took so many minutes more for an open sitting."""

    SEAL: ClassVar[Seal] = Seal(
        "This sitting has ended. The time taken is sealed.", when=ENDED, insert_when=ENDED
    )

    sitting = models.ForeignKey(Sitting, on_delete=models.CASCADE, related_name="more_time")
    minutes = models.PositiveIntegerField()
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.minutes} min more for {self.sitting}"


class Statement(models.Model):
    """What a senior signs about a sitting that was not passed: the words, the name under them, and
    what was shown.
    """

    SEAL: ClassVar[Seal] = Seal("A signed statement is never changed.")

    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    meaning = models.TextField(help_text="The sentence that the senior put the name under.")
    printed_name = models.CharField(max_length=120)
    shown_digest = models.CharField(max_length=64, help_text="SHA-256 of exactly what was shown.")
    happened_on = models.DateField()
    recorded_at = models.DateTimeField()
    once = models.BooleanField(
        null=True,
        editable=False,
        help_text="Set where such a row is there once; empty in older ones.",
    )

    class Meta:
        abstract = True
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["sitting", "shown_digest"],
                condition=models.Q(once=True),
                name="one_%(class)s_of_a_sheet",
                violation_error_message=gettext_lazy(
                    "This was signed already. Nothing was written twice."
                ),
            )
        ]


class GoneThrough(Statement):
    """Each missed step of a sitting was gone through again, at the bench or at the write-up; the
    next one need not wait.
    """

    KIND: ClassVar[str] = "gone through"
    BOOK: ClassVar[Book] = {1: (*SIGNED, "steps")}
    sitting = models.ForeignKey(Sitting, on_delete=models.PROTECT, related_name="gone_through")
    steps = models.JSONField(help_text="The steps as [write-up, id] pairs.")

    def __str__(self) -> str:
        return f"gone through after {self.sitting}"


class Talk(Statement):
    """After three sittings in a row that were not passed, a senior has talked with the person; the
    count begins anew.
    """

    KIND: ClassVar[str] = "talk"
    BOOK: ClassVar[Book] = {1: (*SIGNED, "note")}
    sitting = models.ForeignKey(Sitting, on_delete=models.PROTECT, related_name="talks")
    note = models.TextField(help_text="What came out of it.")

    def __str__(self) -> str:
        return f"talk after {self.sitting}"
