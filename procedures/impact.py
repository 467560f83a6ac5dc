"""What would the release of a revision mean for the people of the shop, in short?

People and what they may do belong to the top app. Settings name the function that knows (as
RECORD_BOOK names the one that keeps the record book), so that the page of a revision can say so
without an import upward.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Protocol, cast

from django.conf import settings
from django.utils.module_loading import import_string

from procedures.models import Revision


class Impact(Protocol):
    """A few sentences, and the address of the page that says it in full."""

    @property
    def sentences(self) -> tuple[str, ...]: ...
    @property
    def url(self) -> str: ...


def impact_of(revision: Revision, *, now: datetime) -> Impact | None:
    """What the release today of this open revision would mean; None where no setting names who
    knows.
    """
    if not settings.RELEASE_IMPACT:
        return None
    teller = cast("Callable[[Revision, datetime], Impact]", import_string(settings.RELEASE_IMPACT))
    return teller(revision, now)
