"""Where does a write of this app go into the shop's record book?

The record book belongs to the top app; settings name the function that takes a row in (as AUTH_USER_MODEL names the
person), so that the lower apps can hand in their rows without an import upward.
"""

from collections.abc import Callable
from typing import cast

from django.conf import settings
from django.db.models import Model
from django.utils.module_loading import import_string


def record(kind: str, row: Model) -> None:
    """Write the row into the record book as an entry of this kind; call it inside the transaction of the write."""
    keeper = cast("Callable[[str, Model], None]", import_string(settings.RECORD_BOOK))
    keeper(kind, row)
