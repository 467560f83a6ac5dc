"""Which program asks, and may it?"""

from __future__ import annotations

from datetime import datetime

from training.models import Workshop
from training.models.programs import ProgramToken, digest_of

# Four a second: a screen on the wall and a till stay far below it, a loop gone wild does not.
MOST_A_MINUTE = 240
LONGEST = 200  # letters of a token


def program_of(token: str, now: datetime) -> ProgramToken | None:
    """The program whose token this is, while it works."""
    # Before anything is hashed or asked: a header may be megabytes.
    if not 0 < len(token) <= LONGEST:
        return None
    digest = digest_of(token)
    row = ProgramToken.objects.filter(digest=digest, ended_at__isnull=True).first()
    if row is None:
        return None
    workshop = Workshop.objects.order_by("pk").first()
    # The day of the shop, since "the last day on which it works" is what an owner typed.
    return None if row.until < (workshop.day_of(now) if workshop else now.date()) else row
