"""What do people know: questions, quizzes, sittings and their answers?"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import ClassVar

from django.apps import apps
from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.utils.translation import gettext, gettext_lazy

from procedures.models import NAME, WriteUp
from procedures.models.booking import Book, Column, Layout, Parts, Seal
from quizzes.kinds.kind import Asked
from quizzes.kinds.registry import KINDS, read_kept
from quizzes.marking.marks import is_too_little
from quizzes.marking.texts import RESERVED
from quizzes.models.quizzes import Quiz

ENDED = (
    "EXISTS (SELECT 1 FROM quizzes_sitting s WHERE s.id = {row}.sitting_id AND s.recorded_at IS "
    "NOT NULL)"
)
# What the entry of a sitting says of each answer, and of the question as it was asked.
ANSWER: Layout = (
    "place",
    Column("question", "version.question"),
    Column("version", "version.number"),
    Column("kind", "version.kind"),
    Column("stem", "version.stem"),
    Column("asked", "version.asked"),
    Column("says", "version.says"),
    Column("steps", "version.steps"),
    Column("critical", "version.critical"),
    Column("mirror", "version.mirror"),
    Column("revision", "version.revision"),
    Column("author", "version.author"),
    Column("written_at", "version.recorded_at"),
    "shown",
    "given",
    "given_at",
    "marks",
)
SAT: Layout = (
    "person",
    "quiz",
    Column("on", "happened_on"),
    "percent",
    "critical_right",
    "pass_percent",
    "seed",
    "started_at",
    "minutes",
    Parts("more_time", ("minutes", Column("at", "recorded_at")), order="pk"),
    "drawn_by",
    "recorded_at",
)


def not_reserved(name: str) -> None:
    """Raises ValidationError for a word that stands in addresses beside the names of questions."""
    if name.lower() in RESERVED:
        raise ValidationError(
            gettext("The site uses “{name}” for itself. Give the question another name.").format(
                name=name
            )
        )


class Question(models.Model):
    """One question on steps of a write-up. What it asks lives in its versions; the newest one is
    asked.
    """

    BOOK_NAME: ClassVar[str] = "{writeup}: {name}"

    writeup = models.ForeignKey(WriteUp, on_delete=models.PROTECT, related_name="questions")
    name = models.CharField(max_length=80, validators=[NAME, not_reserved])

    class Meta:
        ordering = ["writeup", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["writeup", "name"],
                name="question_name_once",
                violation_error_message=gettext_lazy(
                    "This write-up has a question of that name already."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.writeup.name}: {self.name}"


class QuestionVersionQuerySet(models.QuerySet["QuestionVersion"]):
    def newest(self) -> QuestionVersionQuerySet:
        """The highest number of each question."""
        later = QuestionVersion.objects.filter(
            question=OuterRef("question"), number__gt=OuterRef("number")
        )
        return self.filter(~Exists(later))

    def accepted(self) -> QuestionVersionQuerySet:
        """Those that another than the author has accepted; what was brought in came in accepted."""
        rows = apps.get_model("quizzes", "QuestionConfirmed").objects.filter(version=OuterRef("pk"))
        return self.filter(Q(author__isnull=True) | Exists(rows.exclude(by=OuterRef("author"))))

    def in_use(self) -> QuestionVersionQuerySet:
        """The newest accepted one of each question that is not withdrawn."""
        same = {
            "version__question": OuterRef("question"),
            "version__number__gte": OuterRef("number"),
        }
        withdrawn = apps.get_model("quizzes", "QuestionWithdrawn").objects.filter(**same)
        later = QuestionVersion.objects.accepted().filter(
            question=OuterRef("question"), number__gt=OuterRef("number")
        )
        return self.accepted().filter(~Exists(later), ~Exists(withdrawn))


class QuestionVersion(models.Model):
    """One wording of a question, never changed. `asked` holds what the kind needs (options, order,
    amount).
    """

    KIND: ClassVar[str] = "question"
    BOOK: ClassVar[Book] = {
        1: (
            "question",
            Column("version", "number"),
            "kind",
            "stem",
            "asked",
            "says",
            "steps",
            "critical",
            "mirror",
            "revision",
            "author",
            Column("written_at", "recorded_at"),
        )
    }
    SEAL: ClassVar[Seal] = Seal("A version of a question is never changed. Write the next one.")

    question = models.ForeignKey(Question, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=20, choices=[(kind, kind) for kind in KINDS])
    stem = models.TextField()
    asked = models.JSONField()
    says = models.TextField(
        blank=True, help_text="Why, in a sentence or two; shown after the sitting."
    )
    steps = models.JSONField(help_text="Ids of the steps that this question tests.")
    critical = models.BooleanField(default=False)
    mirror = models.BooleanField(
        default=False, help_text="Its drawings are shown mirrored in half of the sittings."
    )
    revision = models.PositiveIntegerField(
        null=True, blank=True, help_text="The number of the revision beside which it was written."
    )
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    objects = QuestionVersionQuerySet.as_manager()

    class Meta:
        ordering = ["question", "number"]
        constraints = [
            models.UniqueConstraint(fields=["question", "number"], name="question_version_once"),
            models.CheckConstraint(condition=Q(kind__in=list(KINDS)), name="question_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.question}, version {self.number}"

    def content(self) -> Asked:
        """What this version asks, as marking takes it."""
        return read_kept(self.kind, self.asked)


class Sitting(models.Model):
    """One run of one person through a quiz; open until it is ended, sealed from then on."""

    KIND: ClassVar[str] = "sitting"
    BOOK: ClassVar[Book] = {
        1: (*SAT, Parts("answers", ANSWER, order="place")),
        2: (*SAT, Parts("answers", (*ANSWER, "second_to"), order="place")),
    }
    BOOK_NAME: ClassVar[str] = "{pk}"
    BOOK_IF = {"recorded_at__isnull": False}
    SEAL: ClassVar[Seal] = Seal(
        "This sitting has ended and is sealed.", when="{row}.recorded_at IS NOT NULL"
    )

    quiz = models.ForeignKey(Quiz, on_delete=models.PROTECT, related_name="sittings")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="sittings"
    )
    seed = models.PositiveIntegerField(
        help_text="What the draw and the order of options came from."
    )
    pass_percent = models.PositiveIntegerField(help_text="The pass mark that held when it began.")
    started_at = models.DateTimeField()
    minutes = models.PositiveIntegerField(
        null=True, blank=True, help_text="The time that was set when it began."
    )
    drawn_by = models.JSONField(
        null=True, blank=True, help_text="The rules of the draw that held when it began."
    )
    happened_on = models.DateField(null=True, blank=True, help_text="The day on which it ended.")
    recorded_at = models.DateTimeField(null=True, blank=True)
    percent = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    critical_right = models.BooleanField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["quiz", "person"],
                condition=Q(recorded_at__isnull=True),
                name="one_open_sitting",
                violation_error_message=gettext_lazy(
                    "There is an open sitting of this quiz already. Go on with that one."
                ),
            ),
            models.CheckConstraint(
                condition=Q(
                    recorded_at__isnull=True,
                    percent__isnull=True,
                    critical_right__isnull=True,
                    happened_on__isnull=True,
                )
                | Q(
                    recorded_at__isnull=False,
                    percent__gte=0,
                    percent__lte=100,
                    critical_right__isnull=False,
                    happened_on__isnull=False,
                ),
                name="sitting_ended_with_result",
            ),
            models.CheckConstraint(
                condition=Q(pass_percent__gte=0, pass_percent__lte=100),
                name="pass_percent_is_percent",
            ),
        ]

    def __str__(self) -> str:
        return f"sitting {self.pk} of {self.quiz}"

    def is_open(self) -> bool:
        """Whether answers may still be given."""
        return self.recorded_at is None

    def ends_at(self) -> datetime | None:
        """When the time is over, with all that was taken on top; None where no time is set."""
        if not self.minutes:
            return None
        taken = sum(more.minutes for more in self.more_time.all())
        return self.started_at + timedelta(minutes=self.minutes + taken)

    def is_cut_short(self) -> bool:
        """Whether it ended before half of its questions were answered. It then counts as not passed
        and shows nothing.
        """
        given = [answer.given for answer in self.answers.all() if answer.second_to is None]
        return not self.is_open() and is_too_little(len(given), given.count(None))

    def is_passed(self) -> bool:
        """Whether the pass mark was reached with every critical question right."""
        return (
            self.percent is not None
            and self.percent >= self.pass_percent
            and bool(self.critical_right)
        )


class AskedOnce(models.Model):
    """One question as it was shown to somebody, and what was answered (given is null until
    then).
    """

    place = models.PositiveIntegerField()
    version = models.ForeignKey(QuestionVersion, on_delete=models.PROTECT, related_name="+")
    shown = models.JSONField(
        help_text="As it was shown: `order` of options (places) or steps (ids), their `titles`, "
        "and the `revision` behind it."
    )
    given = models.JSONField(null=True, blank=True)
    given_at = models.DateTimeField(null=True, blank=True)
    marks = models.DecimalField(
        max_digits=6, decimal_places=5, null=True, blank=True, help_text="0 to 1; set at the end."
    )

    class Meta:
        abstract = True

    def pin(self) -> tuple[int, int]:
        """The revision that this was asked beside: key of the write-up, and number."""
        return self.version.question.writeup_id, self.shown["revision"]

    def kept_at(self) -> str:
        """When it was answered, as text to compare; empty where it was not."""
        return "" if self.given_at is None else self.given_at.isoformat()

    def is_right(self) -> bool:
        """Whether this was marked and wholly right; a part of the marks is not enough."""
        return self.marks == 1


class Answer(AskedOnce):
    """One question of a sitting, asked at first or as the second try for a critical one. The first
    answers alone count for the percentage.
    """

    SEAL: ClassVar[Seal] = Seal(
        "This sitting has ended. Its answers are sealed.", when=ENDED, insert_when=ENDED
    )

    sitting = models.ForeignKey(Sitting, on_delete=models.PROTECT, related_name="answers")
    second_to = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text="The place of the critical question to which this is the second try.",
    )

    class Meta:
        ordering = ["sitting", "place"]
        constraints = [
            models.UniqueConstraint(fields=["sitting", "place"], name="answer_place_once"),
            models.CheckConstraint(
                condition=Q(marks__isnull=True) | Q(marks__gte=0, marks__lte=1),
                name="marks_from_0_to_1",
            ),
            models.UniqueConstraint(
                fields=["sitting", "second_to"],
                name="one_second_try",
                violation_error_message=gettext_lazy("This question has its second try already."),
            ),
            models.CheckConstraint(
                condition=Q(second_to__isnull=True) | ~Q(second_to=F("place")),
                name="second_try_of_another_question",
            ),
        ]

    def __str__(self) -> str:
        return f"answer {self.place} of sitting {self.sitting_id}"
