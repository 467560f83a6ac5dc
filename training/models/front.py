"""How does the shop show itself, who may look at today, and what do its people look like?"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from training.models.people import User, check_name


class ShopFront(models.Model):
    """The shop's name and logo on each page, and whether everybody may see who may do what today.
    There is one row at most; without it the pages carry the program's own name.
    """

    ONLY = 1

    name = models.CharField(max_length=60, blank=True, validators=[check_name])
    logo = models.BinaryField(default=bytes, help_text="A JPEG that this site made anew.")
    digest = models.CharField(max_length=64, blank=True, help_text="SHA-256 of the logo.")
    all_may_look = models.BooleanField(default=False)
    changed_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    changed_at = models.DateTimeField()
    objects: ClassVar[models.Manager[ShopFront]] = models.Manager()

    class Meta:
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=Q(pk=1),
                name="one_shop_front",
                violation_error_message=gettext_lazy("The shop has a name and a logo already."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class PersonPhoto(models.Model):
    """What somebody looks like, who wanted it shown. In the database and not among the shop's
    pictures, so that it is gone when it is removed.
    """

    person = models.OneToOneField(
        User, on_delete=models.CASCADE, primary_key=True, related_name="photo"
    )
    data = models.BinaryField(help_text="A JPEG that this site made anew.")
    made_at = models.DateTimeField()
    objects: ClassVar[models.Manager[PersonPhoto]] = models.Manager()

    def __str__(self) -> str:
        return f"photo of {self.person}"
