"""Which drafts of questions does nobody want to see again?"""

from __future__ import annotations

from django.conf import settings
from django.db import models

from procedures.models import WriteUp


class DraftDropped(models.Model):
    """A draft about a write-up that somebody dropped, by its name; it is not offered again."""

    writeup = models.ForeignKey(WriteUp, on_delete=models.CASCADE, related_name="dropped_drafts")
    name = models.CharField(max_length=80)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["writeup", "name"], name="draft_dropped_once")
        ]

    def __str__(self) -> str:
        return f"{self.writeup}: {self.name}, dropped"
