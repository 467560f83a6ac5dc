"""Which findings of proofing has somebody answered, and with what reason?"""

from __future__ import annotations

from django.conf import settings
from django.db import models

from procedures.models.writeups import WriteUp


class ProofAnswer(models.Model):
    """Why a finding may stand as it is. It holds for every revision while rule, step and words stay the same; the newest counts,
    and one without a reason takes the answer back. Never changed."""

    writeup = models.ForeignKey(WriteUp, on_delete=models.PROTECT, related_name="proof_answers")
    rule = models.CharField(max_length=10)
    step = models.CharField(max_length=200, blank=True, help_text="The id of the step, empty outside steps.")
    about = models.TextField(help_text="The words that the finding is about.")
    reason = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.writeup}: {self.rule}, {self.about}"
