"""Where does a write of this app go into the shop's record book, and under which instant?

The record book belongs to the top app; settings name the function that takes a row in (as
AUTH_USER_MODEL names the person), so that the lower apps can hand in their rows without an import
upward.
"""

from collections.abc import Callable
from datetime import datetime
from typing import cast

from django.conf import settings
from django.db.models import Model
from django.utils.module_loading import import_string


def record(kind: str, row: Model) -> None:
    """Write the row into the record book as an entry of this kind; call it inside the transaction
    of the write.
    """
    keeper = cast("Callable[[str, Model], None]", import_string(settings.RECORD_BOOK))
    keeper(kind, row)


def moment(given: datetime | None = None) -> datetime:
    """The instant for everything that this transaction writes. From here to its end nobody else
    writes an entry, so call it before any row is locked, and after what takes long. `given` is for
    tests and for records that are brought in.

    Raises Refused where the machine's clock shows a time before the newest entry.
    """
    teller = cast("Callable[[datetime | None], datetime]", import_string(settings.RECORD_MOMENT))
    return teller(given)


def shop_now() -> datetime:
    """The instant it is for whoever asks; never one before the newest entry. For looking, not for
    writing.
    """
    teller = cast("Callable[[], datetime]", import_string(settings.RECORD_NOW))
    return teller()
