"""Which programs may ask this site, and what?"""

from __future__ import annotations

import hashlib
from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as _

from training.models.people import User

MAY_READ, COVER_READ, WRITEUPS_READ = "may:read", "cover:read", "writeups:read"
BOOK_READ, JOBS_WRITE = "book:read", "jobs:write"
METRICS_READ = "metrics:read"
SCOPES = {
    MAY_READ: _("who may do which service, and why not the others"),
    COVER_READ: _("cover: how many people are wanted, and how many are there"),
    WRITEUPS_READ: _("the current revision of each write-up"),
    BOOK_READ: _("the check code of the record book"),
    JOBS_WRITE: _("log jobs"),
    METRICS_READ: _("how the machine does: disk, backup, record book"),
}


def check_scopes(value: object) -> None:
    """Raises ValidationError where a JSON value is not a list of scopes, each once."""
    # Nothing at all is refused too: such a token would only be a secret lying about.
    if not isinstance(value, list) or not value or len(set(value)) != len(value):
        raise ValidationError(gettext("Choose at least one thing that the program may do."))
    if not set(value) <= set(SCOPES):
        raise ValidationError(f"A program may do these: {', '.join(SCOPES)}.")


class ProgramToken(models.Model):
    """The right of one program to ask, until a day. The token itself is kept nowhere: only its
    SHA-256, which is enough, since a token is 32 random bytes.
    """

    name = models.CharField(max_length=80)
    scopes = models.JSONField(validators=[check_scopes])
    digest = models.CharField(max_length=64, unique=True)
    until = models.DateField(help_text="The last day on which it works.")
    made_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(ended_at__isnull=True),
                name="one_open_token_of_a_name",
                violation_error_message=gettext_lazy(
                    "There is a program of this name already. "
                    "End its token first, or choose another name."
                ),
            )
        ]

    def __str__(self) -> str:
        return self.name


def digest_of(secret: str) -> str:
    """What is kept of a token."""
    # A header can hold lone surrogates, which plain UTF-8 would raise on.
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
