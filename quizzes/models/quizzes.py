"""What does a quiz draw, of which write-ups, and when may one sit again?"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import Any, ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Exists, OuterRef

from procedures.models import NAME, WriteUp
from procedures.models.booking import Book, Seal
from quizzes.marking.draws import DrawRules, FromPart


class Quiz(models.Model):
    """The questions that one service level asks. How it draws them, of what, and when one may sit
    again: see its rules.
    """

    BOOK_NAME: ClassVar[str] = "{name}"

    name = models.CharField(max_length=80, unique=True, validators=[NAME])
    title = models.CharField(max_length=200)

    class Meta:
        ordering = ["title"]
        verbose_name_plural = "quizzes"

    def __str__(self) -> str:
        return self.title

    @cached_property
    def rules(self) -> QuizRules:
        """The rules in force: the newest ones; those of a new quiz where there are none yet. Read
        once for each instance.
        """
        return self.versions.order_by("pk").last() or QuizRules(quiz=self)

    @property
    def writeups(self) -> models.QuerySet[WriteUp]:
        """The write-ups that it asks about."""
        return WriteUp.objects.filter(name__in=self.rules.writeups)

    def read_anew(self) -> None:
        """Forgets the rules that were read, where newer ones were written."""
        self.__dict__.pop("rules", None)

    def refresh_from_db(
        self,
        using: str | None = None,
        fields: Iterable[str] | None = None,
        from_queryset: Any = None,
    ) -> None:
        """The row as the database has it now, its rules too."""
        self.read_anew()
        super().refresh_from_db(using, fields, from_queryset)


class QuizRulesQuerySet(models.QuerySet["QuizRules"]):
    def in_force(self) -> QuizRulesQuerySet:
        """The newest ones of each quiz."""
        later = QuizRules.objects.filter(quiz=OuterRef("quiz"), pk__gt=OuterRef("pk"))
        return self.filter(~Exists(later))


class QuizRules(models.Model):
    """One version of what a quiz draws and asks, never changed; it holds from its recording until
    the next one.
    """

    KIND: ClassVar[str] = "quiz rules"
    BOOK: ClassVar[Book] = {
        1: (
            "quiz",
            "writeups",
            "size",
            "critical_percent",
            "parts",
            "minutes",
            "wait_days",
            "sittings_a_day",
            "recall_percent",
            "by",
            "recorded_at",
        )
    }
    SEAL: ClassVar[Seal] = Seal("The rules of a quiz are never changed. Write the next version.")

    quiz = models.ForeignKey(Quiz, on_delete=models.PROTECT, related_name="versions")
    writeups = models.JSONField(
        default=list, blank=True, help_text="The names of the write-ups that it asks about."
    )
    size = models.PositiveIntegerField(default=12, help_text="How many questions at least.")
    critical_percent = models.PositiveIntegerField(
        default=100,
        validators=[MaxValueValidator(100)],
        help_text="How many of the critical questions come; 100: every one.",
    )
    parts = models.JSONField(
        default=list,
        blank=True,
        help_text="How many questions at least come from which phase or step of a write-up.",
    )
    minutes = models.PositiveIntegerField(
        default=0,
        validators=[MaxValueValidator(600)],
        help_text="The time for a sitting; 0: as long as it takes.",
    )
    wait_days = models.PositiveIntegerField(
        default=1,
        validators=[MaxValueValidator(366)],
        help_text="Days between a sitting not passed and the next one.",
    )
    sittings_a_day = models.PositiveIntegerField(
        default=2,
        help_text="How many sittings a day, counted on the day they begin and on the day they "
        "end; 0: any number.",
    )
    recall_percent = models.PositiveIntegerField(
        default=90,
        validators=[MinValueValidator(50), MaxValueValidator(99)],
        help_text="The predicted recall below which a question is about to be forgotten.",
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    objects = QuizRulesQuerySet.as_manager()

    class Meta:
        ordering = ["quiz", "pk"]
        verbose_name_plural = "quiz rules"

    def __str__(self) -> str:
        return f"rules of {self.quiz}"

    def draw_rules(self) -> DrawRules:
        """What a sitting draws."""
        return DrawRules(
            self.size, self.critical_percent, tuple(FromPart(**part) for part in self.parts)
        )
