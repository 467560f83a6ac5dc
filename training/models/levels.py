"""What can one be signed off for, and what does each service level ask?"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import OuterRef, Q, Subquery
from django.utils.translation import gettext, gettext_lazy

from procedures.models import NAME
from procedures.models.booking import Book, Seal
from quizzes.models import Quiz
from training.models.people import User, Workshop
from training.standing.terms import TERMS


class LevelQuerySet(models.QuerySet["Level"]):
    def titled(self) -> LevelQuerySet:
        """With the title of the newest rules, by which people know a level."""
        # Today's title also beside old entries: people know a level by its name of now.
        newest = LevelRules.objects.filter(level=OuterRef("pk")).order_by("-pk").values("title")[:1]
        return self.annotate(newest_title=Subquery(newest))


class Level(models.Model):
    """One service level. What it asks is kept in versions of its rules."""

    KIND: ClassVar[str] = "level"
    BOOK: ClassVar[Book] = {1: ("name", "quiz")}
    BOOK_NAME: ClassVar[str] = "{name}"
    BOOK_CHANGES = True
    BOOK_SINCE = "wider_book"

    # The rules name levels by this, and so do voids and the quiz: it is set once.
    name = models.CharField(max_length=80, unique=True, validators=[NAME])
    quiz = models.OneToOneField(
        Quiz, on_delete=models.PROTECT, null=True, blank=True, related_name="level"
    )

    objects = LevelQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        """The title where it was asked for (`titled`), else the name."""
        return getattr(self, "newest_title", None) or self.name


def check_names(value: object) -> None:
    """Raises ValidationError where a JSON value is not a list of names."""
    # The column is JSON and would take anything; standing reads it without looking again.
    if not isinstance(value, list) or not all(isinstance(name, str) and name for name in value):
        raise ValidationError(gettext("This must be a list of names."))


def _layouts(*about: str) -> Book:
    """What the record book holds of a version of rules, by layout: for which level it is, when and
    by whom it was written, and each term that there was by then.
    """
    return {
        # A list in use is never changed: a new term makes a further layout and leaves the old ones
        # be.
        layout: (*about, *(name for name, term in TERMS.items() if term.book <= layout))
        for layout in range(1, 1 + max(term.book for term in TERMS.values()))
    }


def as_columns(terms: Mapping[str, Any]) -> dict[str, Any]:
    """Terms as the table holds them: names in lists, as JSON has them."""
    return {
        name: list(value) if isinstance(value, tuple) else value for name, value in terms.items()
    }


class LevelRules(models.Model):
    """One version of what a level asks, from a first day on; never changed."""

    KIND: ClassVar[str] = "level rules"
    BOOK: ClassVar[Book] = _layouts("level", "from_day", "by", "recorded_at")
    SEAL: ClassVar[Seal] = Seal("An entry is never changed or deleted; a later entry corrects it.")

    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="rules")
    from_day = models.DateField(
        null=True, blank=True, help_text="The first day of this version; empty: always."
    )
    title = models.CharField(max_length=200)
    earlier = models.JSONField(default=list, blank=True, validators=[check_names])
    writeups = models.JSONField(default=list, blank=True, validators=[check_names])
    valid_months = models.PositiveIntegerField()
    practice_jobs = models.PositiveIntegerField(default=0)
    practice_months = models.PositiveIntegerField(default=0)
    watched_jobs = models.PositiveIntegerField(default=0)
    watched_per_option = models.BooleanField(default=False)
    observations = models.PositiveIntegerField(default=0)
    observers = models.PositiveIntegerField(default=0)
    pass_percent = models.PositiveIntegerField(default=0)
    grace_days = models.PositiveIntegerField(default=0)
    practice_from = models.DateField(
        null=True,
        blank=True,
        help_text="The day on which the shop began to write jobs down; practice is asked so many "
        "months after it.",
    )
    yardstick = models.CharField(
        max_length=300, blank=True, help_text="The published rule that inspired this one."
    )
    # Null: brought in, or set at the terminal.
    by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["level", "pk"]
        verbose_name_plural = "level rules"
        constraints = [
            models.CheckConstraint(
                condition=Q(valid_months__gte=1, valid_months__lte=1200),
                name="valid_months_given",
                violation_error_message=gettext_lazy(
                    "Say for how many months a sign-off is valid (1 to 1200)."
                ),
            ),
            models.CheckConstraint(
                condition=Q(pass_percent__lte=100),
                name="pass_mark_is_percent",
                violation_error_message=gettext_lazy("A pass mark is a percentage from 0 to 100."),
            ),
        ]

    def __str__(self) -> str:
        return self.title


DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


# CASCADE here and below: none of it is evidence, and nothing in the book names it.
class Rota(models.Model):
    """On which weekdays somebody works in a workshop, within a span of days."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="rota")
    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="rota")
    mon = models.BooleanField(default=False)
    tue = models.BooleanField(default=False)
    wed = models.BooleanField(default=False)
    thu = models.BooleanField(default=False)
    fri = models.BooleanField(default=False)
    sat = models.BooleanField(default=False)
    sun = models.BooleanField(default=False)
    # Spans, so that the cover of past days stays as it was when the rota changes.
    first = models.DateField(null=True, blank=True)
    until = models.DateField(null=True, blank=True)

    def __str__(self) -> str:
        days = " ".join(day for day in DAYS if getattr(self, day))
        return f"{self.person}: {days or 'no day'}"


class Absence(models.Model):
    """A span of days on which somebody is away, both days included."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="absences")
    first = models.DateField()
    until = models.DateField()
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(until__gte=models.F("first")),
                name="absence_not_backwards",
                violation_error_message=gettext_lazy("An absence ends on or after its first day."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.person} away from {self.first} until {self.until}"


class Want(models.Model):
    """How many people with standing alone the owner wants for a level, by weekday."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="wants")
    level = models.ForeignKey(Level, on_delete=models.CASCADE, related_name="wants")
    mon = models.PositiveIntegerField(default=0)
    tue = models.PositiveIntegerField(default=0)
    wed = models.PositiveIntegerField(default=0)
    thu = models.PositiveIntegerField(default=0)
    fri = models.PositiveIntegerField(default=0)
    sat = models.PositiveIntegerField(default=0)
    sun = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "level"],
                name="want_once",
                violation_error_message=gettext_lazy(
                    "What is wanted for this workshop and level is written already."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.level} in {self.workshop}"


class Planned(models.Model):
    """One line of the training plan that the owner accepted: who is to have which level by when. It
    is no evidence.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="planned")
    level = models.ForeignKey(Level, on_delete=models.CASCADE, related_name="planned")
    first = models.DateField()
    until = models.DateField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person", "level"],
                name="planned_once",
                violation_error_message=gettext_lazy("This person's level is planned already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.level} by {self.until}"
