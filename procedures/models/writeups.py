"""What does the shop say is right: write-ups, their revisions, and the shop's rules?"""

from __future__ import annotations

import hashlib
from datetime import date, datetime
from typing import ClassVar

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.utils.translation import gettext_lazy

from procedures.models.booking import Book, Column, Parts, Seal

NAME = RegexValidator(
    r"^[A-Za-z0-9_-]+\Z",
    gettext_lazy("Use letters, digits and hyphens, such as air-spring-service."),
)


class Asks(models.TextChoices):
    """What a release asks of people who are signed off already."""

    NOTHING = "nothing", "nothing"
    READ = "read again", "read again"
    ANSWER = "answer again", "answer again"
    SHOW = "show again", "show again"


class WriteUp(models.Model):
    """One procedure of the shop. Its title and its text live in its revisions."""

    KIND: ClassVar[str] = "write-up"
    BOOK: ClassVar[Book] = {1: ("name", "title")}
    BOOK_NAME: ClassVar[str] = "{name}"
    BOOK_CHANGES = True
    BOOK_SINCE = "wider_book"

    name = models.CharField(max_length=80, unique=True, validators=[NAME])
    title = models.CharField(max_length=200, help_text="As in the header of the newest revision.")

    class Meta:
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title

    @staticmethod
    def BOOK_IF() -> Q:  # noqa: N802
        """Those of which something is released: a draft is in no book."""
        return Q(Exists(Revision.objects.released().filter(writeup=OuterRef("pk"))))


class RevisionQuerySet(models.QuerySet["Revision"]):
    def released(self, on: date | None = None) -> RevisionQuerySet:
        """Those released by the end of a day; of any day, also a later one, where none is named."""
        known = self.filter(released_on__isnull=False)
        return known if on is None else known.filter(released_on__lte=on)

    def current(self, on: date | None = None) -> RevisionQuerySet:
        """The highest number of each write-up among those released by a day."""
        known = Revision.objects.released(on)
        later = known.filter(writeup=OuterRef("writeup"), number__gt=OuterRef("number"))
        return self.released(on).filter(~Exists(later))

    def open(self) -> RevisionQuerySet:
        """Those not released yet: drafts and those in review."""
        return self.filter(released_on__isnull=True)


DECISIONS = Parts("decisions", ("step", "asks", "suggested", "reason", "by", "at"), later=True)


class Revision(models.Model):
    """One numbered text of a write-up: a draft, in review, released, or (when a later one is out)
    retired.
    """

    KIND: ClassVar[str] = "release"
    BOOK: ClassVar[Book] = {
        1: (
            "writeup",
            Column("revision", "number"),
            "asks",
            "reason",
            "released_on",
            "released_by",
            "author",
            Column("text_sha256", "text", sha256=True),
            Column("shown_sha256", "digest"),
            "recorded_at",
            DECISIONS,
        ),
        2: (
            "writeup",
            Column("revision", "number"),
            "asks",
            "reason",
            "released_on",
            "released_at",
            "released_by",
            "author",
            Column("text_sha256", "text", sha256=True),
            Column("shown_sha256", "digest"),
            "recorded_at",
            DECISIONS,
        ),
    }
    BOOK_NAME: ClassVar[str] = "{writeup} {number}"
    BOOK_IF = {"released_on__isnull": False}
    SEAL: ClassVar[Seal] = Seal(
        "A released revision can be neither changed nor deleted.",
        when="{row}.released_on IS NOT NULL",
    )

    writeup = models.ForeignKey(WriteUp, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    text = models.TextField()
    reason = models.TextField(
        blank=True, help_text="Why this revision, in a sentence for those who know the last one."
    )
    asks = models.CharField(max_length=20, choices=Asks, default=Asks.NOTHING)
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    writers = models.JSONField(
        default=list,
        blank=True,
        help_text="The keys of all who changed this draft; none of them releases it.",
    )
    changed_at = models.DateTimeField()
    sent_to_review_at = models.DateTimeField(null=True, blank=True)
    sent_back_because = models.TextField(
        blank=True, help_text="Why the last review sent it back; gone when it is sent again."
    )
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    released_on = models.DateField(null=True, blank=True)
    released_at = models.DateTimeField(
        null=True,
        blank=True,
        help_text="The moment of release, of a revision that was released elsewhere; here it is "
        "recorded_at.",
    )
    recorded_at = models.DateTimeField(null=True, blank=True)
    digest = models.CharField(max_length=64, blank=True, help_text="SHA-256 of the released text.")

    objects = RevisionQuerySet.as_manager()

    class Meta:
        ordering = ["writeup", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["writeup", "number"],
                name="revision_number_once",
                violation_error_message=gettext_lazy(
                    "This write-up has a revision of that number already."
                ),
            ),
            models.UniqueConstraint(
                fields=["writeup"],
                condition=Q(released_on__isnull=True),
                name="one_open_revision",
                violation_error_message=gettext_lazy(
                    "This write-up has an open draft already. Finish that one first."
                ),
            ),
            models.CheckConstraint(
                condition=Q(released_by__isnull=True)
                | Q(author__isnull=True)
                | ~Q(released_by=F("author")),
                name="released_by_another",
                violation_error_message=gettext_lazy(
                    "Another person than the author releases a revision."
                ),
            ),
            models.CheckConstraint(condition=Q(asks__in=Asks.values), name="revision_asks_known"),
            models.CheckConstraint(condition=Q(number__gte=1), name="revision_number_from_one"),
            models.CheckConstraint(
                condition=Q(released_on__isnull=True, digest="")
                | Q(released_on__isnull=False, digest__regex=r"^[0-9a-f]{64}$"),
                name="released_is_hashed",
                violation_error_message=gettext_lazy(
                    "A released revision carries the hash of its text."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.writeup.title}, revision {self.number}"

    def state(self, *, latest_released: int | None) -> str:
        """draft, in review, released or retired; the caller says which number is the newest
        released one.
        """
        if self.released_on is None:
            return "draft" if self.sent_to_review_at is None else "in review"
        return (
            "retired"
            if latest_released is not None and self.number < latest_released
            else "released"
        )

    def moment_of_release(self) -> datetime | None:
        """The instant at which it was released, where it is known."""
        return self.released_at or (self.recorded_at if self.released_by_id else None)

    def text_digest(self) -> str:
        """SHA-256 of the text as it stands, in hex."""
        return hashlib.sha256(self.text.encode()).hexdigest()


class ShopRules(models.Model):
    """One version of the shop's rules: what makes each source of danger safe, and what must have
    ended at the end.
    """

    KIND: ClassVar[str] = "shop rules"
    BOOK: ClassVar[Book] = {1: ("text", "author", "recorded_at")}
    SEAL: ClassVar[Seal] = Seal("The rules of the shop are kept as they were written.")

    text = models.TextField(help_text="YAML: safe, temporary, same.")
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "shop rules"

    def __str__(self) -> str:
        return f"shop rules, version {self.pk}"
