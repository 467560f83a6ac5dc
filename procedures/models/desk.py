"""What has somebody typed at the author's desk, and which texts did a draft have before it was
saved anew?
"""

from __future__ import annotations

from django.conf import settings
from django.db import models

from procedures.models.writeups import Revision


class Typed(models.Model):
    """What one person typed at one desk (one opening of the page) and has not saved: never the
    draft, only kept beside it.
    """

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="typed")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    desk = models.CharField(
        max_length=40,
        help_text="Made anew each time the page is opened, so that two tablets never write over "
        "each other.",
    )
    text = models.TextField(blank=True)
    reason = models.TextField(blank=True)
    seen = models.DateTimeField(help_text="When the draft was saved from which this was typed on.")
    kept_at = models.DateTimeField()

    class Meta:
        ordering = ["-kept_at", "-pk"]
        verbose_name_plural = "typed"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "person", "desk"], name="typed_once_per_desk"
            )
        ]

    def __str__(self) -> str:
        return f"{self.revision}, typed by {self.person}"


class EarlierText(models.Model):
    """The text that a draft had until somebody saved another one over it, so that a clash can be
    shown from where it began.
    """

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="earlier_texts")
    changed_at = models.DateTimeField(help_text="When this text had been saved.")
    text = models.TextField(blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.revision}, text of {self.changed_at}"
