"""What does the site remember of signing in: wrong tries, devices, links to choose a password, and
whose hand it was?
"""

from __future__ import annotations

from importlib import import_module
from typing import ClassVar

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models

from procedures.models.booking import Book, Seal
from training.models.people import User


class Tries(models.Model):
    """How often something was tried lately without success, by a person, a device or an address;
    and how much a program asked in a minute. The key is hashed: people type their password into the
    wrong field.
    """

    # The key of the table, so that two first tries at once cannot make two rows.
    key = models.CharField(max_length=64, primary_key=True)
    count = models.PositiveIntegerField(default=0)
    # Old rows are swept by it at each right password.
    last_at = models.DateTimeField(db_index=True)
    objects: ClassVar[models.Manager[Tries]] = models.Manager()

    def __str__(self) -> str:
        return f"{self.count} tries"


# Devices, sessions, links and tries are no evidence and may be deleted; the two last are sealed.
class KnownDevice(models.Model):
    """A browser in which a person has signed in before. Its cookie holds the secret, which changes
    at each sign-in.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="devices")
    secret_hash = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    objects: ClassVar[models.Manager[KnownDevice]] = models.Manager()

    def __str__(self) -> str:
        return f"device of {self.person}"


class Session(AbstractBaseSession):
    """One browser in which a person is signed in. The columns beside Django's own make it something
    to list and to end.
    """

    person = models.ForeignKey(User, on_delete=models.CASCADE, null=True, related_name="sessions")
    # SET_NULL: a device that is forgotten does not end the session in which it is done.
    device = models.ForeignKey(
        KnownDevice, on_delete=models.SET_NULL, null=True, related_name="sessions"
    )
    kind = models.CharField(
        max_length=20, blank=True, help_text="A phone or a computer, as the browser says."
    )
    address = models.CharField(
        max_length=60, blank=True, help_text="Only roughly: a network, not a machine."
    )
    began_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)

    @classmethod
    def get_session_store_class(cls) -> type[SessionBase]:
        # By its name: the engine imports these models, so that neither can import the other.
        store: type[SessionBase] = import_module(settings.SESSION_ENGINE).SessionStore
        return store


class OneTimeLink(models.Model):
    """A link by which a person chooses a password: once, and for a day. Only its hash is kept."""

    person = models.ForeignKey(User, on_delete=models.CASCADE, related_name="links")
    # Looked up by its hash alone: the link holds no login that could be guessed along with it.
    code_hash = models.CharField(max_length=64, unique=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    objects: ClassVar[models.Manager[OneTimeLink]] = models.Manager()

    def __str__(self) -> str:
        return f"link for {self.person}"


class AccountChange(models.Model):
    """Who had a hand in how a person signs in, and when. An entry of the record book; no password
    and no code stands in it.
    """

    KIND: ClassVar[str] = "account"
    BOOK: ClassVar[Book] = {1: ("person", "what", "by", "recorded_at")}
    SEAL: ClassVar[Seal] = Seal("An entry is never changed or deleted; a later entry corrects it.")

    LINK_GIVEN, LINK_USED, AT_TERMINAL = (
        "link given",
        "password chosen by link",
        "password set at the terminal",
    )
    OWN_CHOSEN = "own password chosen"  # in place of one that was set at the terminal
    # Giving a link is not among them: the password stays until it is used.
    PASSWORDS = (LINK_USED, AT_TERMINAL, OWN_CHOSEN)
    FACTOR_ON, FACTOR_OFF, FACTOR_RESET = (
        "second factor set up",
        "second factor taken off",
        "second factor reset",
    )
    WHAT = (LINK_GIVEN, LINK_USED, AT_TERMINAL, OWN_CHOSEN, FACTOR_ON, FACTOR_OFF, FACTOR_RESET)

    # PROTECT: the record book names the person, who therefore cannot be deleted.
    person = models.ForeignKey(User, on_delete=models.PROTECT, related_name="account_changes")
    what = models.CharField(max_length=40, choices=[(what, what) for what in WHAT])
    by = models.ForeignKey(
        User,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: at the terminal.",
    )
    recorded_at = models.DateTimeField()
    objects: ClassVar[models.Manager[AccountChange]] = models.Manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.what}: {self.person}"


class SecondFactorRule(models.Model):
    """From an instant on, which roles must have a second factor to sign in. An entry of the record
    book; the newest holds.
    """

    KIND: ClassVar[str] = "second factor rule"
    BOOK: ClassVar[Book] = {1: ("seniors", "owners", "by", "recorded_at")}
    SEAL: ClassVar[Seal] = Seal("An entry is never changed or deleted; a later entry corrects it.")

    seniors = models.BooleanField()
    owners = models.BooleanField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()
    objects: ClassVar[models.Manager[SecondFactorRule]] = models.Manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"second factor: seniors {self.seniors}, owners {self.owners}"
