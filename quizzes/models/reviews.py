"""Who stands behind a version of a question, and who took one back?

Both are rows that are written once; whether a question is asked today is worked out from them when
it is read.
"""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.db import models

from procedures.models.booking import Book, Column, Layout, Seal
from quizzes.models.questions import QuestionVersion

WHICH: Layout = (Column("question", "version.question"), Column("version", "version.number"))


class QuestionConfirmed(models.Model):
    """Somebody has read this version beside a revision and says that both agree. By another than
    its author it also accepts the version: from then on it is asked.
    """

    KIND: ClassVar[str] = "question confirmed"
    BOOK: ClassVar[Book] = {1: (*WHICH, "revision", "by", "recorded_at")}
    SEAL: ClassVar[Seal] = Seal("Who confirmed a question stays written.")

    version = models.ForeignKey(QuestionVersion, on_delete=models.PROTECT, related_name="confirmed")
    revision = models.PositiveIntegerField(
        help_text="The number of the revision beside which it was read."
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.version} confirmed beside revision {self.revision}"


class QuestionWithdrawn(models.Model):
    """From here on the question is not asked, in this wording and in older ones; a later version
    brings it back.
    """

    KIND: ClassVar[str] = "question withdrawn"
    BOOK: ClassVar[Book] = {1: (*WHICH, "reason", "by", "recorded_at")}
    SEAL: ClassVar[Seal] = Seal(
        "Who withdrew a question stays written. A new version brings it back."
    )

    version = models.ForeignKey(QuestionVersion, on_delete=models.PROTECT, related_name="withdrawn")
    reason = models.CharField(max_length=500)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.version} withdrawn"
