"""Which steps of the start did an owner leave for later?"""

from django.db import models
from django.db.models import Q

from training.models.people import User


class StartStep(models.TextChoices):
    """What a new shop sets up, in this order."""

    PEOPLE = "people", "people"
    LEVELS = "levels", "levels"
    RULES = "rules", "rules"
    SIGN_OFFS = "sign-offs", "sign-offs"
    ROTA = "rota", "rota"


class LeftForLater(models.Model):
    """A step of the start that is not asked about now. Whether it is done is never stored: that is
    read from the record.
    """

    step = models.CharField(max_length=10, choices=StartStep, unique=True)
    by = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(step__in=StartStep.values), name="start_step_known")
        ]

    def __str__(self) -> str:
        return self.step
