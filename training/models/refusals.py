"""Which sign-ins and which programs' tokens were refused lately?"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from training.models.people import User
from training.models.programs import ProgramToken

PASSWORD, CODE, WAIT, CLOSED = "password", "code", "wait", "closed"
UNKNOWN_TOKEN, ENDED_TOKEN = "unknown token", "ended token"
WHY = (PASSWORD, CODE, WAIT, CLOSED, UNKNOWN_TOKEN, ENDED_TOKEN)
# As the kind of device: of one hour, from more networks than are kept apart.
MANY = "many"
# Counted one by one up to twice as many; then with an error of a quarter, 1/sqrt(2 * 8): a thousand
# cost some fifty writes.
EXACT = 8


class RefusedSignIn(models.Model):
    """What was refused for one reason to one person, or one program, from one network within an
    hour. Nothing that was typed stands here: people type their password into the wrong field.
    """

    # Of all that is counted together: two first refusals at once cannot make two rows.
    key = models.CharField(max_length=64, primary_key=True)
    why = models.CharField(max_length=20, choices=[(why, why) for why in WHY])
    person = models.ForeignKey(
        User,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="refusals",
        help_text="Empty: nobody has the login that was typed.",
    )
    program = models.ForeignKey(
        ProgramToken, on_delete=models.CASCADE, null=True, blank=True, related_name="refusals"
    )
    kind = models.CharField(
        max_length=20, blank=True, help_text="A phone or a computer, as the browser says."
    )
    address = models.CharField(
        max_length=60, blank=True, help_text="Only roughly: a network, not a machine."
    )
    count = models.PositiveIntegerField(default=0)
    first_at = models.DateTimeField()
    last_at = models.DateTimeField(db_index=True)
    objects: ClassVar[models.Manager[RefusedSignIn]] = models.Manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["-last_at", "key"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=Q(why__in=WHY),
                name="why_refused_known",
                violation_error_message="This is no reason to refuse a sign-in.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.count} refused: {self.why}"
