"""For which fork did somebody study a write-up last?"""

from __future__ import annotations

from django.conf import settings
from django.db import models

from procedures.models.writeups import WriteUp


class ChosenFork(models.Model):
    """The options that a person chose last for a write-up, so that the next visit need not ask
    again. No evidence of anything.
    """

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    writeup = models.ForeignKey(WriteUp, on_delete=models.CASCADE, related_name="+")
    options = models.JSONField(
        default=dict, help_text="One option for each variant, as in the header."
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "writeup"], name="chosen_fork_once")
        ]

    def __str__(self) -> str:
        return f"{self.writeup}: {self.options}"
