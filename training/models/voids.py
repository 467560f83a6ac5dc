"""Who asks for an entry to be declared void, and who decides?"""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from training.models.entry import ENTRY, Entry
from training.models.evidence import Void
from training.models.people import User


class VoidAsked(Entry):
    """Somebody asks that every entry of this kind, person and day (`happened_on`) be declared void.
    It counts for nothing until a second person has confirmed it."""

    KIND = "void asked"
    BOOK = {
        1: (*ENTRY, "kind", "person", "about", "by", "reason"),
        2: (*ENTRY, "kind", "person", "about", "by", "reason", "entries", "shown_digest"),
    }
    kind = models.CharField(max_length=20, choices=[(kind, kind) for kind in Void.KINDS])
    person = models.ForeignKey(User, on_delete=models.PROTECT, related_name="voids_asked")
    about = models.CharField(max_length=80, help_text="The level; for a reading the write-up.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="voids_asked_by")
    reason = models.TextField()
    entries = models.JSONField(
        default=list, blank=True, help_text="The key of each entry that was shown."
    )
    shown_digest = models.CharField(
        max_length=64, blank=True, help_text="SHA-256 of what was shown and of the reason."
    )

    class Meta(Entry.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["person", "shown_digest"],
                # Older ones were asked without a list to be shown.
                condition=~Q(shown_digest=""),
                name="one_void_asked_of_a_sheet",
                violation_error_message=gettext_lazy(
                    "This was signed already. Nothing was written twice."
                ),
            )
        ]


class VoidDecided(Entry):
    """A second person has confirmed what was asked (`void` is then the entry that counts), or
    declined it.
    """

    KIND = "void decided"
    BOOK = {
        1: (*ENTRY, "asked", "void", "by", "reason"),
        2: (*ENTRY, "asked", "void", "by", "reason", "entries", "shown_digest"),
    }
    # One to one: of two who decide at once, the second is refused by the table itself.
    asked = models.OneToOneField(VoidAsked, on_delete=models.PROTECT, related_name="decided")
    # Null is the no: what was declined leaves a decision and no void.
    void = models.OneToOneField(
        Void, on_delete=models.PROTECT, null=True, blank=True, related_name="decided"
    )
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="voids_decided")
    reason = models.TextField(blank=True)
    entries = models.JSONField(
        default=list, blank=True, help_text="The key of each entry that was shown."
    )
    shown_digest = models.CharField(
        max_length=64,
        blank=True,
        help_text="SHA-256 of what was shown, of the yes or no and of the reason.",
    )
