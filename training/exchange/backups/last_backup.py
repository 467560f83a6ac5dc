"""When was the last backup of this site made, and what is the owner told of it?

It stands in a file beside the data and not in the database: a restored database would say of itself
that it was never backed up, or name a backup that another machine has.
"""

from __future__ import annotations

import json
import os
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext, ngettext

from procedures.records.days.reader import say_day

LAST = "last-backup.json"
WEEK = timedelta(days=7)


def note_backup(made_at: str) -> bool:
    """Remember when the last backup was made (ISO, with its zone); False where that cannot be
    written down.
    """
    try:
        # Whole or not at all: half a file would tell the owner that there was never a backup.
        handle, written = tempfile.mkstemp(dir=settings.HOME, prefix=f".{LAST}")
        with os.fdopen(handle, "w", encoding="ascii") as file:
            json.dump({"made_at": made_at}, file)
        Path(written).replace(Path(settings.HOME) / LAST)
    except OSError:
        return False
    return True


def last_backup() -> datetime | None:
    """When the last backup was made; None where none was, or where the file says nothing that can
    be read.
    """
    try:
        made_at = datetime.fromisoformat(
            json.loads((Path(settings.HOME) / LAST).read_text(encoding="ascii"))["made_at"]
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return made_at if made_at.utcoffset() is not None else None


def tell_backup_due(now: datetime) -> str:
    """What the owner is told when there is no backup, or only an old one; empty where there is a
    new one.
    """
    made_at = last_backup()
    if made_at is None:
        return gettext("No backup of the records has been made yet.")
    days = (now - made_at).days
    if now - made_at <= WEEK:
        return ""
    return ngettext(
        "The last backup is {count} day old, from {day}.",
        "The last backup is {count} days old, from {day}.",
        days,
    ).format(count=days, day=say_day(made_at))
