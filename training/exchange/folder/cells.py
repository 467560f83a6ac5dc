"""What may stand in one cell of a folder that is brought in?

Each reader takes the cell's text and returns the value, or raises Expected with what it should have
been.
"""

import json
import re
from collections.abc import Callable
from datetime import MAXYEAR, MINYEAR, date, datetime
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext

from procedures.records.wording.pieces import join_last_or
from procedures.writeup.check_sheet import read_lines
from procedures.writeup.letters import SHORT_NAME, find_fault_of_name, put_in_one_line, strip_hidden
from quizzes.marking.draws import PHASE, STEP, FromPart
from training.models.people import list_time_zones

CellReader = Callable[[str], Any]


class Expected(Exception):
    """What should have stood there."""


def read_text(cell: str) -> str:
    """Any words; they must not be empty."""
    said = strip_hidden(cell).strip()
    if not said:
        raise Expected(gettext("some text"))
    return said


def read_up_to(length: int, reader: CellReader = read_text) -> CellReader:
    """What the reader reads, when it is no longer than this many characters."""

    def read(cell: str) -> Any:
        if len(cell) > length:
            raise Expected(gettext("{length} characters at most").format(length=length))
        return reader(cell)

    return read


def read_any(cell: str) -> str:
    """Any words, or none; letters that nobody sees are left out."""
    return strip_hidden(cell).strip()


def read_printed_name(cell: str) -> str:
    """The name of a person or a workshop, as it is printed."""
    said = put_in_one_line(read_text(cell))
    if find_fault_of_name(cell):
        raise Expected(gettext("a name of letters that can be seen"))
    return said


def read_name(cell: str) -> str:
    """A name as used in addresses: up to 80 letters, digits, hyphens, underscores."""
    if not SHORT_NAME.fullmatch(cell):
        raise Expected(
            gettext("a name of up to 80 letters, digits and hyphens, such as air-spring")
        )
    return cell


def read_login(cell: str) -> str:
    """A login: up to 60 letters, digits and . _ @ + -, the first one a letter or digit."""
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._@+-]{,59}", cell):
        raise Expected(
            gettext(
                "a login of up to 60 letters, digits, points and hyphens, such as first.mechanic"
            )
        )
    return cell


def read_day(cell: str) -> date:
    """A calendar date as 2026-11-25. Python also reads ISO's weeks (2026-W48-3); a spreadsheet's
    reader does not.
    """
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", cell):
            raise ValueError
        return date.fromisoformat(cell)
    except ValueError:
        raise Expected(gettext("a date such as 2026-11-25")) from None


def read_time_zone(cell: str) -> str:
    """A name of the IANA time zone database."""
    if cell not in list_time_zones():
        raise Expected(gettext("a time zone such as Europe/Vienna"))
    return cell


def read_instant(cell: str) -> datetime:
    """An ISO instant with an offset or Z."""
    try:
        found = datetime.fromisoformat(cell)
    except ValueError:
        found = None
    # The first and the last year are left out, so that every instant falls on a day in every time
    # zone.
    if (
        found is None
        or found.tzinfo is None
        # Python also reads a bare hour with an offset, which is no moment that anybody meant.
        or len(cell) < len("2026-11-25T09:30Z")
        or found.year in {MINYEAR, MAXYEAR}
    ):
        raise Expected(
            gettext(
                "an instant with its offset, such as 2026-11-25T09:30:00Z or "
                "2026-11-25T10:30:00+01:00"
            )
        )
    return found


def read_yes_no(cell: str) -> bool:
    """yes or no; empty means no."""
    said = cell.lower()
    if said not in {"yes", "no", ""}:
        raise Expected(gettext("yes or no"))
    return said == "yes"


def read_number(cell: str) -> int:
    """A whole number from 0 on; empty means 0."""
    if not cell:
        return 0
    # isdigit() alone takes digits of other scripts; six stay below a database's integer.
    if not (cell.isascii() and cell.isdigit() and len(cell) <= 6):
        raise Expected(gettext("a whole number from 0 on"))
    return int(cell)


def read_percent(cell: str) -> Decimal:
    """A percentage from 0 to 100, with a decimal point or a decimal comma."""
    # no more places: 1,000 may be a thousand
    cell = re.sub(r"\A([0-9]{1,3}),([0-9]{1,2})\Z", r"\1.\2", cell)
    if not re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,9})?", cell):
        raise Expected(gettext("a percentage from 0 to 100, such as 85 or 87.5"))
    found = Decimal(cell)
    if found > 100 or found != found.quantize(Decimal("0.01")):
        raise Expected(gettext("a percentage from 0 to 100, with two places at most"))
    return found


def read_names(cell: str) -> tuple[str, ...]:
    """Names parted by semicolons, or nothing."""
    return tuple(read_name(part.strip()) for part in cell.split(";")) if cell else ()


def read_several(reader: CellReader) -> CellReader:
    """What the reader reads of each part between semicolons, or nothing."""

    def read(cell: str) -> tuple[Any, ...]:
        return tuple(reader(part.strip()) for part in cell.split(";")) if cell else ()

    return read


def read_marks(cell: str) -> list[str]:
    """Marks of tools parted by semicolons, each once, in capitals; or nothing."""
    return list(
        dict.fromkeys(" ".join(part.split()).upper() for part in cell.split(";") if part.strip())
    )


def read_one_of(*allowed: str) -> CellReader:
    """One of a few words."""

    def read(cell: str) -> str:
        if cell not in allowed:
            raise Expected(join_last_or(allowed))
        return cell

    return read


def read_or_none(reader: CellReader) -> CellReader:
    """What the reader reads, or None for an empty cell."""

    def read(cell: str) -> Any:
        return reader(cell) if cell else None

    return read


def read_variant(cell: str) -> dict[str, str]:
    """One fork's options: ring=prong;bumper=none."""
    return dict(_pairs(cell, gettext("options such as ring=prong;bumper=none")))


def read_check_sheet(cell: str) -> list[dict[str, Any]]:
    """The lines of an observation's check sheet as JSON, the way they are taken out; empty for
    none.
    """
    try:
        return read_lines(json.loads(cell)) if cell else []
    except (ValueError, RecursionError) as bad:
        raise Expected(gettext("the check sheet as it was taken out of another site")) from bad


def read_answer(cell: str) -> Any:
    """An answer as JSON: the place of an option from 0, a list of places or of steps, a spot, or an
    amount in quotes; empty: none.
    """
    try:
        return json.loads(cell) if cell else None
    except (ValueError, RecursionError) as bad:
        raise Expected(gettext('an answer as JSON, such as 2, [0, 3] or "28 N·m"')) from bad


def read_parts(cell: str) -> tuple[FromPart, ...]:
    """From which phases and steps how many questions come at least, as JSON; empty for none."""
    try:
        return tuple(_part(**one) for one in (json.loads(cell) if cell else ()))
    except (TypeError, ValueError, RecursionError) as bad:
        raise Expected(
            gettext("the parts of a quiz as they were taken out of another site")
        ) from bad


def _part(**said: Any) -> FromPart:
    found = FromPart(**said)
    texts = (found.writeup, found.part, found.name)
    if not all(isinstance(text, str) for text in texts) or found.part not in (PHASE, STEP):
        raise ValueError
    # Not isinstance(): JSON's true would pass as a whole number.
    if type(found.count) is not int or not 0 < found.count < 1000:
        raise ValueError
    return found


def read_photos(cell: str) -> list[str]:
    """The names of the photos' files in photos/, which are their SHA-256."""
    found = [part.strip() for part in cell.split(";")] if cell else []
    if not all(re.fullmatch("[0-9a-f]{64}", name) for name in found):
        raise Expected(gettext("the names of files in photos/, parted by semicolons"))
    return found


def read_limits(cell: str) -> dict[str, list[str]]:
    """The options that a sign-off covers: * for all, or ring=prong|eyelet;bumper=none."""
    if cell == "*":
        return {}
    expected = gettext("* or options such as ring=prong|eyelet")
    # An empty cell is a limit that somebody forgot, and would be a sign-off for every fork.
    if not cell:
        raise Expected(expected)
    found = {
        key: [part.strip() for part in value.split("|")] for key, value in _pairs(cell, expected)
    }
    if not all(option for options in found.values() for option in options):
        raise Expected(expected)
    return found


def _pairs(cell: str, expected: str) -> list[tuple[str, str]]:
    pairs: list[tuple[str, str]] = []
    for part in cell.split(";") if cell else ():
        key, sign, value = (piece.strip() for piece in part.partition("="))
        if not (key and sign and value) or key in dict(pairs):
            raise Expected(expected)
        pairs.append((key, value))
    return pairs
