"""How far has somebody come at the bench, and which jobs and observations that were sent have arrived? Not evidence of anything."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from procedures.models import WriteUp
from training.models.evidence import Job, Observation
from training.models.people import User


class BenchPlace(models.Model):
    """The step at which somebody stands in a write-up, with what was typed so far; one for each person and write-up."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    writeup = models.ForeignKey(WriteUp, on_delete=models.CASCADE, related_name="+")
    revision = models.PositiveIntegerField()
    fork = models.JSONField(default=dict, blank=True)
    step = models.PositiveIntegerField(default=1)
    given = models.JSONField(default=dict, blank=True)
    kept_at = models.DateTimeField()
    objects: ClassVar[models.Manager[BenchPlace]] = models.Manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "writeup"], name="one_place_at_the_bench")]

    def __str__(self) -> str:
        return f"{self.person}, {self.writeup}, step {self.step}"


class Sent(models.Model):
    """The mark that a form was given before it was sent, so that what is sent twice is written down once."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    mark = models.CharField(max_length=64)

    class Meta:
        abstract = True
        constraints = [models.UniqueConstraint(fields=["person", "mark"], name="one_%(class)s_for_each_mark")]

    def __str__(self) -> str:
        return self.mark


class SentJob(Sent):
    """A job that has arrived."""

    entry = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="sent")
    objects: ClassVar[models.Manager[SentJob]] = models.Manager()


class SentObservation(Sent):
    """An observation that has arrived."""

    entry = models.OneToOneField(Observation, on_delete=models.PROTECT, related_name="sent")
    objects: ClassVar[models.Manager[SentObservation]] = models.Manager()
