"""Which day, and whose day, does somebody mean at the terminal?"""

from __future__ import annotations

from argparse import ArgumentTypeError
from datetime import date

from django.utils import timezone
from django.utils.translation import gettext

from training.exchange.folder import cells
from training.models import Workshop, shop_now


def day_of(text: str) -> date:
    """A day such as 2026-11-25. Raises ArgumentTypeError with a sentence."""
    try:
        return cells.read_day(text)
    except cells.Expected:
        raise ArgumentTypeError(
            gettext("'{text}' is not a day. Write it like 2026-11-25.").format(text=text)
        ) from None


def today() -> date:
    """The day it is in the (first) workshop."""
    workshop = Workshop.objects.order_by("pk").first()
    return workshop.today() if workshop else timezone.localdate(shop_now())
