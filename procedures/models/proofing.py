"""What did somebody answer to a finding of the proofing, and when?"""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from django.conf import settings
from django.db import models

from procedures.models.booking import Book, Seal
from procedures.models.writeups import WriteUp

Key = tuple[str, str, str]


class ProofAnswerQuerySet(models.QuerySet["ProofAnswer"]):
    def standing(self, writeup: WriteUp) -> Mapping[Key, ProofAnswer]:
        """The newest answer to each finding of a write-up, without those that were taken back."""
        newest = {
            row.key: row for row in self.filter(writeup=writeup).select_related("by").order_by("pk")
        }
        return {key: row for key, row in newest.items() if row.reason}


class ProofAnswer(models.Model):
    """Why a finding may stand. It holds in every revision in which rule, step and words are the
    same; the newest row counts.
    """

    KIND: ClassVar[str] = "proof answer"
    BOOK: ClassVar[Book] = {1: ("writeup", "rule", "step", "about", "reason", "by", "at")}
    SEAL: ClassVar[Seal] = Seal("An answer to a finding stays as it was given; give a new one.")

    writeup = models.ForeignKey(WriteUp, on_delete=models.PROTECT, related_name="proof_answers")
    rule = models.CharField(max_length=10)
    step = models.CharField(
        max_length=200, blank=True, help_text="The id of the step, empty outside steps."
    )
    about = models.TextField(help_text="The words that the finding is about.")
    reason = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = ProofAnswerQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.rule}, {self.writeup.name}"

    @property
    def key(self) -> Key:
        return self.rule, self.step, self.about
