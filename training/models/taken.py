"""Which forms have come in, and which entry did each one make? Not evidence of anything."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy

from training.models.people import User


class Taken(models.Model):
    """The mark that a form was given before it was sent, with the entry it made: sent twice, it is
    written down once.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=30)
    mark = models.CharField(max_length=64)
    row = models.BigIntegerField(help_text="The key of the entry.")
    objects: ClassVar[models.Manager[Taken]] = models.Manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                # Not by person: a mark of somebody else's is then found, and refused.
                fields=["kind", "mark"],
                name="one_entry_for_each_mark",
                violation_error_message=gettext_lazy(
                    "This was saved already. Nothing was saved twice."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind}, {self.mark}"
