"""Which program asks, and may it?"""

from __future__ import annotations

from datetime import datetime

from training.models import Workshop
from training.models.programs import ProgramToken, digest_of

# Four a second: a screen on the wall and a till stay far below it, a loop gone wild does not.
MOST_A_MINUTE = 240
LONGEST = 200  # letters of a token


def program_of(token: str) -> ProgramToken | None:
    """The program whose token this is, whether it works or not."""
    # Before anything is hashed or asked: a header may be megabytes.
    if not 0 < len(token) <= LONGEST:
        return None
    return ProgramToken.objects.filter(digest=digest_of(token)).first()


def may_ask(program: ProgramToken, now: datetime) -> bool:
    """Whether its token works."""
    if program.ended_at is not None:
        return False
    workshop = Workshop.objects.order_by("pk").first()
    # The day of the shop, since "the last day on which it works" is what an owner typed.
    return program.until >= (workshop.day_of(now) if workshop else now.date())
