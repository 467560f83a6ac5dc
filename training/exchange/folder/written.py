"""How is a value written into a cell, so that bringing the folder in reads the same value again?"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from procedures.models import Revision
from training.models import Level, User, Workshop

# What a spreadsheet takes for the beginning of a formula (OWASP, "CSV Injection"), also behind
# apostrophes of ours; at the beginning of a cell, and wherever a program that parts cells at
# semicolons, tabs or line ends, whatever the quotes say, begins a cell of its own.
_FORMULA = re.compile(r"(?:\A|(?<=[;\t\r\n]))('*+)(?=[=+\-@\t\r\n＝＋－＠])")
_ESCAPED = re.compile(r"(?:\A|(?<=[;\t\r\n]))'('*+)(?=[=+\-@\t\r\n＝＋－＠])")


def as_text(value: str) -> str:
    """The value, with an apostrophe wherever a spreadsheet would begin to work it out;
    `read_written` takes these off again.
    """
    return _FORMULA.sub(r"'\1", value)


def read_written(cell: str) -> str:
    """The value of a cell that `as_text` made; any other cell as it stands."""
    return _ESCAPED.sub(r"\1", cell)


def cell(value: Any) -> str:
    """The text of a cell: yes and no, ISO days, instants in UTC, plain digits, names parted by
    semicolons.
    """
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case datetime():
            # Microseconds, as the database keeps them: standing compares instants of one day.
            return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
        case date():
            return value.isoformat()
        case Decimal():
            return f"{value.normalize():f}"
        case User():
            return value.login
        case Level() | Workshop():
            return value.name
        case list() | tuple():
            return as_text(";".join(one if isinstance(one, str) else cell(one) for one in value))
        case _:
            return as_text(str(value))


def fork(variant: Mapping[str, str]) -> str:
    """One fork's options, as ring=prong;bumper=none."""
    return ";".join(f"{name}={option}" for name, option in variant.items())


def limits(covered: Mapping[str, list[str]]) -> str:
    """The options that a sign-off covers: ring=prong|eyelet, or * for every fork."""
    return fork({name: "|".join(options) for name, options in covered.items()}) or "*"


def make_json(rows: Sequence[Mapping[str, Any]]) -> str:
    """The lines of a check sheet or the parts of a quiz as JSON, or nothing."""
    return json.dumps(rows, ensure_ascii=False) if rows else ""


def columns_of_revision(revision: Revision | None) -> dict[str, Any]:
    """The two columns that name a revision of a write-up."""
    return {
        "writeup": revision.writeup.name if revision else None,
        "revision": revision.number if revision else None,
    }
