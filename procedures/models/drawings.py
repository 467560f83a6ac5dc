"""Which drawings and photos of its own has the shop, and which file does each name stand for?"""

from __future__ import annotations

from typing import ClassVar

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from procedures.models.booking import Book, Column, Seal

PICTURE_NAME = RegexValidator(
    r"^[a-z0-9]+(-[a-z0-9]+)*\Z",
    gettext_lazy("Use small letters, digits and hyphens, such as ring-pliers."),
)


class Kind(models.TextChoices):
    DRAWING = "drawing", "drawing"
    PHOTO = "photo", "photo"


class Drawing(models.Model):
    """A picture of the shop. Its name stands for this one picture for good, because released
    write-ups show it by that name.
    """

    KIND: ClassVar[str] = "picture"
    BOOK_FILES = ("digest",)
    BOOK: ClassVar[Book] = {
        1: (
            "name",
            "title",
            "description",
            "kind",
            Column("sha256", "digest"),
            "width",
            "height",
            "by",
            "recorded_at",
        )
    }
    SEAL: ClassVar[Seal] = Seal(
        "A picture stays under its name for good, because released write-ups may show it."
    )

    name = models.CharField(
        max_length=80,
        unique=True,
        validators=[PICTURE_NAME],
        error_messages={
            "unique": gettext_lazy(
                "This name stands for another picture already, and released write-ups may show "
                "it. Choose a new one."
            )
        },
    )
    title = models.CharField(max_length=120)
    description = models.CharField(max_length=500)
    kind = models.CharField(max_length=10, choices=Kind)
    digest = models.CharField(max_length=64, help_text="SHA-256 of the file as it is kept.")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=Kind.values), name="drawing_kind_known"),
            models.CheckConstraint(
                condition=Q(digest__regex=r"^[0-9a-f]{64}$"), name="drawing_is_hashed"
            ),
        ]

    def __str__(self) -> str:
        return self.title
