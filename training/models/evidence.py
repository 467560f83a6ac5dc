"""What has been seen, done, signed and taken back?

Every row here is an entry: written once, held by the database against change, and linked into the
record book. It is corrected only by a later entry.
"""

from __future__ import annotations

from datetime import date

from django.db import models
from django.db.models import F, OuterRef, Q
from django.utils.translation import gettext_lazy as _

from procedures.models import Revision
from procedures.models.booking import Column
from training.models.entry import ENTRY, Entry
from training.models.levels import Level
from training.models.people import User


def _tools() -> models.JSONField:
    marks = "The marks of the tools used, such as TW-2, for a recall."
    return models.JSONField(default=list, blank=True, help_text=marks)


def _once() -> models.BooleanField[bool | None, bool | None]:
    """Set where the site itself wrote the row: such a row is there once. Empty in what is older,
    and in what is brought in.
    """
    # What is older, or comes from a folder, may hold the same twice.
    return models.BooleanField(null=True, editable=False)


def _person(name: str) -> models.ForeignKey[User, User]:
    # PROTECT everywhere: nothing that evidence names may go away under it.
    return models.ForeignKey(User, on_delete=models.PROTECT, related_name=name)


class Reading(Entry):
    """A person has studied one revision."""

    KIND = "reading"
    BOOK = {1: (*ENTRY, "person", "revision")}
    person = _person("readings")
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="readings")
    once = _once()

    class Meta(Entry.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["person", "revision", "happened_on"],
                condition=Q(once=True),
                name="one_reading_a_day",
                violation_error_message=_(
                    "You have said today that you studied this revision. Nothing was written twice."
                ),
            )
        ]


class PaperPass(Entry):
    """A quiz taken elsewhere, on paper; quizzes taken here are sittings."""

    KIND = "paper pass"
    BOOK = {1: (*ENTRY, "person", "level", "percent", "critical_right")}
    person = _person("paper_passes")
    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="paper_passes")
    # Decimal, since a pass mark is met or not: a float of 80 % may lie below 80.
    percent = models.DecimalField(max_digits=5, decimal_places=2)
    critical_right = models.BooleanField()

    class Meta(Entry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(percent__gte=0, percent__lte=100),
                name="paper_percent_is_percent",
                violation_error_message=_("A result is a percentage from 0 to 100."),
            )
        ]


class Job(Entry):
    """One service done on one customer's fork, alone or watched."""

    KIND = "job"
    BOOK = {
        1: (
            *ENTRY,
            "person",
            "level",
            "revision",
            "watched_by",
            "variant",
            "values",
            Column("tools", later=True),
            "came_back",
            "note",
        ),
        2: (
            *ENTRY,
            "person",
            "level",
            "revision",
            "watched_by",
            "needs_confirmation",
            "variant",
            "values",
            "tools",
            "came_back",
            "note",
        ),
    }
    person = _person("jobs")
    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="jobs")
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs"
    )
    watched_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="watched_jobs"
    )
    variant = models.JSONField(default=dict, blank=True)
    values = models.JSONField(default=list, blank=True)
    tools = _tools()
    came_back = models.BooleanField(default=False)
    note = models.TextField(blank=True)
    # Not every watched job: what comes from paper was confirmed on paper.
    needs_confirmation = models.BooleanField(
        default=False,
        help_text="Entered here, said to be watched: it counts once the watcher has confirmed it.",
    )

    class Meta(Entry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(needs_confirmation=False) | Q(watched_by__isnull=False),
                name="only_watched_jobs_wait",
                violation_error_message=_("A job that nobody watched waits for nobody."),
            )
        ]


class JobConfirmation(Entry):
    """What the watcher says of a job that names them: watched, or not, and then why. The first word
    stands.
    """

    KIND = "job confirmation"
    BOOK = {1: (*ENTRY, "job", "by", "confirmed", "reason")}
    # One to one: a second word, the other way, cannot be written at all.
    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="confirmation")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="jobs_confirmed")
    confirmed = models.BooleanField()
    reason = models.TextField(blank=True)

    class Meta(Entry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(confirmed=True) | ~Q(reason=""),
                name="refused_job_says_why",
                violation_error_message=_("Say why you do not confirm this job."),
            )
        ]


class JobTakenBack(Entry):
    """Who wrote a job down says, within minutes, that it was no such job: from here on it never
    counted. A void names every job of a person, level and day; this names one.
    """

    KIND = "job taken back"
    BOOK = {1: (*ENTRY, "job")}
    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="taken_back")


class Observation(Entry):
    """Somebody watched one job against the check sheet of the write-up."""

    KIND = "observation"
    BOOK_FILES = ("photos",)
    BOOK = {
        1: (
            *ENTRY,
            "person",
            "level",
            "observer",
            "revision",
            "variant",
            "lines",
            "right",
            Column("tools", later=True),
            Column("photos", later=True),
            "note",
        )
    }
    person = _person("observations")
    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="observations")
    observer = models.ForeignKey(User, on_delete=models.PROTECT, related_name="observations_made")
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="observations"
    )
    variant = models.JSONField(default=dict, blank=True)
    lines = models.JSONField(
        default=list, blank=True, help_text="Each line of the check sheet and how it was seen."
    )
    # Kept, though it follows from the lines: one from paper has none.
    right = models.BooleanField()
    tools = _tools()
    photos = models.JSONField(
        default=list, blank=True, help_text="The SHA-256 of each photo, as it is kept."
    )
    note = models.TextField(blank=True)


class ShownAgain(Entry):
    """The signed statement that each line of an observation that was not right was gone through
    again with the person.
    """

    KIND = "shown again"
    BOOK = {
        1: (*ENTRY, "observation", "by", "steps", "meaning", "printed_name", "shown_digest", "note")
    }
    observation = models.OneToOneField(
        Observation, on_delete=models.PROTECT, related_name="shown_again"
    )
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="shown_again_by")
    steps = models.JSONField(
        default=list,
        blank=True,
        help_text="The ids of the steps; none for an observation without its check sheet.",
    )
    meaning = models.TextField(help_text="The sentence that the senior put the name under.")
    # As it was on that day (21 CFR 11.50): people change their names.
    printed_name = models.CharField(max_length=120)
    shown_digest = models.CharField(max_length=64, help_text="SHA-256 of exactly what was shown.")
    note = models.TextField(blank=True)


class SignOff(Entry):
    """The signed statement that a person may do a service level alone; founding: by the owner, on
    other proof.
    """

    KIND = "sign-off"
    BOOK = {
        1: (
            *ENTRY,
            "person",
            "level",
            "signer",
            "limits",
            "founding",
            "meaning",
            "printed_name",
            "shown_digest",
            "note",
        )
    }
    person = _person("signoffs")
    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="signoffs")
    signer = models.ForeignKey(User, on_delete=models.PROTECT, related_name="signoffs_given")
    limits = models.JSONField(
        default=dict, blank=True, help_text="Options by variant; empty: every fork."
    )
    founding = models.BooleanField(default=False)
    meaning = models.TextField(
        blank=True, help_text="The sentence that the signer put the name under."
    )
    printed_name = models.CharField(max_length=120, blank=True)
    shown_digest = models.CharField(
        max_length=64, blank=True, help_text="SHA-256 of exactly what was shown."
    )
    note = models.TextField(blank=True)
    once = _once()

    class Meta(Entry.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["person", "shown_digest"],
                condition=Q(once=True),
                name="one_sign_off_of_a_sheet",
                violation_error_message=_("This was signed already. Nothing was written twice."),
            )
        ]


class StandDownQuerySet(models.QuerySet["StandDown"]):
    """Which stand-downs there are."""

    def in_force(self, on: date) -> StandDownQuerySet:
        """Those that hold on a day; on the day of lifting one is free."""
        # Beside `rules/stood_down.py`, for what is refused without reading the shop.
        return self.filter(Q(lift__isnull=True) | Q(lift__happened_on__gt=on), happened_on__lte=on)

    def at(self, level: Level | OuterRef) -> StandDownQuerySet:
        """Those at a level or at every level."""
        return self.filter(Q(level=level) | Q(level__isnull=True))


class StandDown(Entry):
    """The signed statement that a person may not, from a day on, at one level or all, until
    lifted.
    """

    KIND = "stand-down"
    BOOK = {1: (*ENTRY, "person", "level", "by", "reason")}
    person = _person("standdowns")
    level = models.ForeignKey(
        Level, on_delete=models.PROTECT, null=True, blank=True, related_name="standdowns"
    )
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="standdowns_given")
    reason = models.TextField()

    objects = StandDownQuerySet.as_manager()


class Lift(Entry):
    """A stand-down ends; on the day of lifting one is free."""

    KIND = "lift"
    BOOK = {1: (*ENTRY, "standdown", "by", "reason")}
    standdown = models.OneToOneField(StandDown, on_delete=models.PROTECT, related_name="lift")
    by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="lifts_given"
    )
    reason = models.TextField(blank=True)


class Appointment(Entry):
    """A person may sign off a level; `happened_on` is the first day."""

    KIND = "appointment"
    BOOK = {1: (*ENTRY, "person", "level", "by", "until")}
    person = _person("appointments")
    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="appointments")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="appointments_given")
    until = models.DateField(null=True, blank=True)

    class Meta(Entry.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("happened_on")),
                name="appointment_not_backwards",
                violation_error_message=_("An appointment ends on or after its first day."),
            )
        ]


class AppointmentEnd(Entry):
    """An appointment ends earlier than it said: `until` is its new last day. Of several the
    earliest day holds.
    """

    KIND = "appointment end"
    BOOK = {1: (*ENTRY, "appointment", "until", "by")}
    appointment = models.ForeignKey(Appointment, on_delete=models.PROTECT, related_name="ends")
    until = models.DateField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="appointments_ended")

    class Meta(Entry.Meta):
        constraints = [
            models.CheckConstraint(
                # Not before the day of recording: what is signed stays signed.
                condition=Q(until__gte=F("happened_on")),
                name="appointment_not_ended_backwards",
                violation_error_message=_(
                    "An appointment ends today or later. What was signed before stays signed."
                ),
            )
        ]


class Void(Entry):
    """Every entry of this kind, person and day (`happened_on`) recorded until then is declared
    never to have counted.
    """

    KIND = "void"
    BOOK = {1: (*ENTRY, "kind", "person", "about", "by", "reason")}
    KINDS = ("signoff", "job", "reading", "pass", "observation")
    kind = models.CharField(max_length=20, choices=[(kind, kind) for kind in KINDS])
    person = _person("voids")
    # A name and no key, since it is of a level or of a write-up.
    about = models.CharField(max_length=80, help_text="The level; for a reading the write-up.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="voids_given")
    reason = models.TextField()

    class Meta(Entry.Meta):
        constraints = [
            models.CheckConstraint(
                # Stand-downs are lifted, and a void cannot be voided.
                condition=Q(kind__in=("signoff", "job", "reading", "pass", "observation")),
                name="void_kind_known",
                violation_error_message="A void is of a signoff, job, reading, pass or "
                "observation.",
            )
        ]
