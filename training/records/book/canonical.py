"""Which bytes stand for what was recorded?"""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import rfc8785


def write_canonical(value: Any) -> bytes:
    """The JSON Canonicalization Scheme (RFC 8785) bytes of a plain value.

    Days become ISO dates, instants ISO instants in UTC to the microsecond, decimal numbers their
    shortest plain digits as text. Raises ValueError for anything else that JSON has no place for.
    """
    try:
        return rfc8785.dumps(_plain(value))
    except rfc8785.CanonicalizationError as refused:
        raise ValueError(f"This cannot be written as canonical JSON: {refused}") from refused


def _plain(value: Any) -> Any:
    # What most values are, and what an entry of hundreds of them should not be asked five times.
    if value is None or isinstance(value, str | int):
        return value
    match value:
        case datetime():
            # Naive it would mean another instant on each machine, under the same hash.
            if value.tzinfo is None:
                raise ValueError("An instant in the record book needs a time zone.")
            # Always six digits: isoformat leaves them out when they are 0, and the bytes would
            # differ.
            return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
        # After datetime, which is a date too.
        case date():
            return value.isoformat()
        case Decimal():
            # SQLite and PostgreSQL give 80 and 80.00 for the same column; "f", since normalize may
            # say 8E+1.
            return format(value.normalize(), "f")
        case Mapping():
            return {str(key): _plain(item) for key, item in value.items()}
        case list() | tuple():
            return [_plain(item) for item in value]
        case _:
            return value
