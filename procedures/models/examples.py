"""What came from the examples, and has somebody gone through it for this shop?"""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy


class Thing(models.TextChoices):
    """What can come from the examples. A level belongs to an app above, which keeps its marks
    here by its name.
    """

    WRITE_UP = "write-up", "write-up"
    RULES = "rules", "rules"
    LEVEL = "level", "level"


class ExampleQuerySet(models.QuerySet["Example"]):
    def unread(self) -> ExampleQuerySet:
        """Those that nobody has gone through for this shop yet."""
        return self.filter(read_at__isnull=True)


class Example(models.Model):
    """The mark of something that came from the examples: who chose it, and who has gone through it
    for this shop since.
    """

    thing = models.CharField(max_length=10, choices=Thing)
    name = models.CharField(
        max_length=80, blank=True, help_text="Of the write-up or the level; empty for the rules."
    )
    text = models.TextField(
        blank=True, help_text="As it came, so that its values are known again in the draft."
    )
    brought_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    brought_at = models.DateTimeField()
    read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    read_at = models.DateTimeField(null=True, blank=True)

    objects = ExampleQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["thing", "name"],
                name="example_once",
                violation_error_message=gettext_lazy("This is here from the examples already."),
            ),
            models.CheckConstraint(condition=Q(thing__in=Thing.values), name="example_known"),
            models.CheckConstraint(
                condition=Q(read_by__isnull=True, read_at__isnull=True)
                | Q(read_by__isnull=False, read_at__isnull=False),
                name="example_read_by_somebody",
                violation_error_message=gettext_lazy(
                    "Who has read an example is named with the moment."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing} {self.name}".strip()


class ConfirmedValue(models.Model):
    """Somebody says that a value of an example holds for this shop too: one amount in one step."""

    example = models.ForeignKey(Example, on_delete=models.CASCADE, related_name="confirmed")
    name = models.CharField(max_length=300, help_text="The step and the amount.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["example", "name"], name="value_confirmed_once")
        ]

    def __str__(self) -> str:
        return f"{self.example}: {self.name}"
