"""Who works here, where, and as what?"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from typing import ClassVar
from zoneinfo import ZoneInfo, available_timezones

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from procedures.models.booking import Book, Column
from procedures.records.wording.say import say
from procedures.writeup.letters import find_fault_of_name
from training.models import roles
from training.models.book import shop_now
from training.standing.rules.here import has_left

# ASCII only: letters of two alphabets look alike, and a login
# stands in addresses. \Z, since $ would let a line break through.
LOGIN = RegexValidator(
    r"^[A-Za-z0-9][A-Za-z0-9._@+-]*\Z",
    gettext_lazy("Use letters, digits, points, hyphens and underscores."),
)


LONGEST_LOGIN = 60


@cache
def list_time_zones() -> frozenset[str]:
    """Every name of the IANA database. It is gathered from hundreds of files, so once in a
    process.
    """
    return frozenset(available_timezones())


def check_time_zone(name: str) -> None:
    """Raises ValidationError where the name is no time zone of the IANA database."""
    # A zone that is not known would fail at the first question of a day, long after it was typed.
    if name not in list_time_zones():
        raise ValidationError(
            gettext("“{name}” is no time zone. Write it as in Europe/Vienna.").format(name=name)
        )


def check_name(name: str) -> None:
    """Raises ValidationError for a name with letters that nobody sees, or without any that somebody
    does.
    """
    wrong = find_fault_of_name(name)
    if wrong:
        raise ValidationError(say(wrong))


def default_time_zone() -> str:
    # A function, since a migration would write the setting of this machine into its text.
    return settings.TIME_ZONE


class Workshop(models.Model):
    """One shop floor. All its days are days of its time zone."""

    KIND: ClassVar[str] = "workshop"
    BOOK: ClassVar[Book] = {1: ("name", "time_zone", "is_demo")}
    BOOK_NAME: ClassVar[str] = "{name}"
    BOOK_CHANGES = True
    BOOK_SINCE = "wider_book"

    name = models.CharField(max_length=120, unique=True, validators=[check_name])
    time_zone = models.CharField(
        max_length=60, default=default_time_zone, validators=[check_time_zone]
    )
    is_demo = models.BooleanField(default=False, help_text="Holds made-up people and demo values.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def today(self) -> date:
        """The day it is in this workshop; never one before the newest entry of the record book."""
        return self.day_of(shop_now())

    def day_of(self, instant: datetime) -> date:
        """The day of this workshop on which an instant falls."""
        return timezone.localtime(instant, ZoneInfo(self.time_zone)).date()


def is_staying(on: date, person: str = "") -> Q:
    """The condition that somebody has not left before a day; `person` is the way to them, such as
    `person__`.
    """
    return Q(**{f"{person}left__isnull": True}) | Q(**{f"{person}left__gte": on})


class People(BaseUserManager["User"]):
    """Everybody of the shop; a login is the same however its letters are written, but for old ones
    that go by their capitals.
    """

    def able_to(self, perm: str, on: date) -> models.QuerySet[User]:
        """Everybody whose role, or being an owner, brings a permission, with an open account and
        not gone by a day, by name.
        """
        trades = [trade for trade, given in roles.PERMISSIONS.items() if perm in given]
        holders = Q(trade__in=trades)
        if perm in roles.PERMISSIONS[roles.OWNER]:
            holders |= Q(owner=True)
        return self.filter(holders & is_staying(on), is_active=True).order_by("name")

    def get_by_natural_key(self, login: str | None) -> User:
        said = (login or "")[: LONGEST_LOGIN + 1]  # no database is asked for a text without end
        # The exact one first, for the few old logins that go by their capitals.
        exact = self.filter(login=said).first()
        return exact or self.annotate(in_small=Lower("login")).get(
            in_small=said.lower(), goes_by_capitals=False
        )


class User(AbstractBaseUser):
    """A person of the shop. The trade (on screens: role) says what somebody does at the bench,
    `owner` whether they own the shop; both say what the person may do on this site, and standing
    says what at the bench.
    """

    KIND: ClassVar[str] = "person"
    BOOK: ClassVar[Book] = {
        1: (
            "login",
            "name",
            "trade",
            "workshop",
            "started",
            "left",
            Column("may_sign_in", "is_active"),
        ),
        2: (
            "login",
            "name",
            "trade",
            "workshop",
            "started",
            "left",
            Column("may_sign_in", "is_active"),
            "changed_by",
        ),
        3: (
            "login",
            "name",
            "trade",
            "owner",
            "workshop",
            "started",
            "left",
            Column("may_sign_in", "is_active"),
            "changed_by",
        ),
    }
    # owners from before the column: it was filled in for them, so the book is told
    BOOK_AGAIN: ClassVar[Mapping[str, Q]] = {"owners": Q(owner=True)}
    BOOK_NAME: ClassVar[str] = "{login}"
    BOOK_CHANGES = True

    login = models.CharField(
        max_length=LONGEST_LOGIN,
        unique=True,
        validators=[LOGIN],
        error_messages={"unique": gettext_lazy("Somebody has this login already.")},
    )
    name = models.CharField(max_length=120, validators=[check_name])
    trade = models.CharField(max_length=20, choices=roles.TRADES)
    owner = models.BooleanField(default=False, help_text="Owns the shop, whatever the role.")
    workshop = models.ForeignKey(Workshop, on_delete=models.PROTECT, related_name="people")
    started = models.DateField(null=True, blank=True)
    left = models.DateField(null=True, blank=True, help_text="The last day at work.")
    is_active = models.BooleanField("may sign in", default=True)
    goes_by_capitals = models.BooleanField(
        default=False,
        editable=False,
        help_text="From before logins were one in any case; the record book holds it, so it stays.",
    )
    changed_by = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: at the terminal, or brought in.",
    )

    objects = People()

    USERNAME_FIELD = "login"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                # Held by the table: looked up first, two of one login added at once would get past.
                Lower("login"),
                name="login_once_in_any_case",
                condition=Q(goes_by_capitals=False),
                violation_error_message=gettext_lazy(
                    "Somebody has this login already; capitals make no other login."
                ),
            ),
            models.CheckConstraint(
                condition=Q(trade__in=[trade for trade, _ in roles.TRADES]),
                name="trade_known",
                violation_error_message=gettext_lazy(
                    "The role is trainee, mechanic, senior or owner."
                ),
            ),
            models.CheckConstraint(
                # This trade has the permissions of an owner, so nobody else may have it.
                condition=~Q(trade=roles.OWNER) | Q(owner=True),
                name="without_bench_work_owner",
                violation_error_message=gettext_lazy(
                    "Only an owner does no bench work. Choose a role, or tick "
                    "that this person owns the shop."
                ),
            ),
            models.CheckConstraint(
                condition=Q(started__isnull=True)
                | Q(left__isnull=True)
                | Q(left__gte=F("started")),
                name="left_not_before_started",
                violation_error_message=gettext_lazy("Nobody leaves before the first day."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def has_perm(self, perm: str, obj: object = None) -> bool:
        """Whether this person's role, or an owner, may do this; a closed account may nothing."""
        # Asked on each request, so that a change of role acts at once, in open sessions too.
        return self.is_active and perm in roles.permissions_of(self.trade, owner=self.owner)

    @property
    def role(self) -> str:
        """What this person does here, in words."""
        return roles.say_role(self.trade, owner=self.owner)

    @property
    def works_at_bench(self) -> bool:
        """Whether this person has a role at the bench; an owner need not."""
        return self.trade in roles.AT_BENCH

    def read_afresh(self) -> User:
        """This person as they stand in the table now."""
        return User.objects.get(pk=self.pk)

    def may_sign_in(self) -> bool:
        """Whether the account is open and the person has not left."""
        # First and last day count as here (rule 1): the last day is one to sign in on.
        return self.is_active and not has_left(self, self.workshop.today())
