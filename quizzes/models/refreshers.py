"""Which short rounds did somebody go through, so that nothing is forgotten?

Nothing here is evidence: it moves no standing and stands in no record book.
"""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from quizzes.models.questions import AskedOnce


class RefresherRound(models.Model):
    """A few questions that somebody was about to forget, each marked when it is answered."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="refresher_rounds"
    )
    seed = models.PositiveIntegerField(help_text="What the order of options came from.")
    started_at = models.DateTimeField()
    on = models.DateField(help_text="The day on which it began, where the person works.")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"round of {self.on}"


class RefresherAnswer(AskedOnce):
    """One question of a round, marked at once; `on` is the day of the answer, where the person
    works.
    """

    round = models.ForeignKey(RefresherRound, on_delete=models.CASCADE, related_name="answers")
    on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["round", "place"]
        constraints = [
            models.UniqueConstraint(fields=["round", "place"], name="refresher_place_once"),
            models.CheckConstraint(
                condition=Q(given__isnull=True, marks__isnull=True, on__isnull=True)
                | Q(given__isnull=False, marks__gte=0, marks__lte=1, on__isnull=False),
                name="refresher_marked_when_given",
            ),
        ]

    def __str__(self) -> str:
        return f"answer {self.place} of {self.round}"
