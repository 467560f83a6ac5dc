"""Can a row be kept as it is?"""

from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Model

from procedures.records.refused import make_refusal


def check_row(row: Model, **how: Any) -> None:
    """Raises Refused where the row cannot be kept like this, with what Django's own checks say;
    `how` is for `full_clean`.
    """
    try:
        row.full_clean(**how)
    except ValidationError as error:
        raise make_refusal(error) from error
