"""How does a program get the right to ask, and lose it?"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext

from procedures.records.checked import check_row
from procedures.records.refused import Refused
from training.access import acts, programs
from training.access.programs import may_ask, program_of
from training.actions.asked import count_question
from training.actions.refusals import note_refusal
from training.models import User
from training.models.programs import ProgramToken, digest_of
from training.models.refusals import ENDED_TOKEN, UNKNOWN_TOKEN

BEGINS = "bench_"  # so that a token that lies somewhere is known as one
# Two years with a leap day. An end must be set: a forgotten program must not ask for ever.
MOST_DAYS = 731


@transaction.atomic
def make_token(
    *, name: str, scopes: Sequence[str], until: date, by: User | None, today: date, now: datetime
) -> tuple[ProgramToken, str]:
    """A new token, and the token itself, which is shown once and kept nowhere. `by` is nobody at
    the machine's own terminal. Raises Refused.
    """
    if by is not None:
        acts.KEEP_PEOPLE.check(by)
    if until < today:
        raise Refused(
            gettext("This day is in the past. Choose the last day on which the token should work.")
        )
    if (until - today).days > MOST_DAYS:
        raise Refused(gettext("A token works for two years at most. Choose an earlier last day."))
    # 256 bits: a plain hash is enough to keep it by, and no try at it need be counted.
    secret = BEGINS + secrets.token_urlsafe(32)
    row = ProgramToken(
        # Or two programs could look alike and differ by a space.
        name=" ".join(name.split()),
        scopes=list(scopes),
        digest=digest_of(secret),
        until=until,
        made_by=by,
        made_at=now,
    )
    check_row(row)
    row.save()
    return row, secret


def take_program(*, request: HttpRequest, token: str, now: datetime) -> ProgramToken | None:
    """The program that asks by this token, while it works; else None, and the refusal is noted.
    Raises TooMany.
    """
    program = program_of(token)
    if program is not None and may_ask(program, now):
        # By the machine's own clock: that of the shop stands still while the other is behind.
        count_question(
            asker=f"program {program.digest}", most=programs.MOST_A_MINUTE, now=timezone.now()
        )
        return program
    why = ENDED_TOKEN if program else UNKNOWN_TOKEN
    note_refusal(request=request, why=why, program=program, now=now)
    return None


@transaction.atomic
def end_token(*, row: ProgramToken, by: User | None, now: datetime) -> None:
    """From now on the program asks in vain. Raises Refused."""
    if by is not None:
        acts.KEEP_PEOPLE.check(by)
    # Only an open one: a second press must not move the instant at which it ended.
    ProgramToken.objects.filter(pk=row.pk, ended_at__isnull=True).update(ended_at=now)
