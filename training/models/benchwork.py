"""How far has somebody come at the bench? Not evidence of anything."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from procedures.models import WriteUp
from training.models.people import User


class BenchPlace(models.Model):
    """The step at which somebody stands in a write-up, with what was typed so far; one for each
    person and write-up.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    writeup = models.ForeignKey(WriteUp, on_delete=models.CASCADE, related_name="+")
    # The number and no key: the place outlives its revision, and the page then says that it is an
    # older one.
    revision = models.PositiveIntegerField()
    fork = models.JSONField(default=dict, blank=True)
    step = models.PositiveIntegerField(default=1)
    given = models.JSONField(default=dict, blank=True)
    kept_at = models.DateTimeField()
    objects: ClassVar[models.Manager[BenchPlace]] = models.Manager()

    class Meta:
        constraints = [
            # Two devices at one bench: the one saved last is the place.
            models.UniqueConstraint(fields=["person", "writeup"], name="one_place_at_the_bench")
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.writeup}, step {self.step}"
