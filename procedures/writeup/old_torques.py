"""Which rows of a table of an old procedure are torques, beyond doubt, and how does the language
write each?

A unit is never guessed: it stands in the cell, or in the head above it. A cell that says more than
a number, a range or a number with its tolerance is no torque here. How units and ranges are spelled
in old papers is common practice, no source; what they are worth says NIST SP 811 (2008), appendix
B.8.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from procedures.writeup.amounts import BadAmount, convert, factors_to, read_amount, split_amount
from procedures.writeup.model import Amount
from procedures.writeup.remarks import Remark, remark

Rows = Sequence[Sequence[str]]
SHOWN = "N·m"
LONGEST_NAME = 100  # letters of a part in the title of its step
SOURCE = "NIST SP 811, appendix B.8"
# Of two amounts in one row one was worked out and rounded; further apart than this one is wrong.
APART = 3  # per cent; a choice of ours, no source
_DOT = r"[ .·⋅*\-‑–]{0,2}"
_UNIT = {
    "N·m": rf"N{_DOT}m|[Nn]ewton[ -]?met(?:re|er)s?",
    "in·lbf": rf"(?i:in{_DOT}lb(?:f|s)?|lb(?:f|s)?{_DOT}in|inch[ -]pounds?)",
    "ft·lbf": rf"(?i:f(?:oo)?t{_DOT}lb(?:f|s)?|lb(?:f|s)?{_DOT}ft|foot[ -]pounds?)",
    "kgf·cm": rf"(?i:kgf{_DOT}cm)",
}
_ANY_UNIT = "|".join(f"(?:{one})" for one in _UNIT.values())
_SPELLED = {unit: re.compile(form) for unit, form in _UNIT.items()}
_NUMBER = r"[0-9]{1,4}(?:[.,][0-9]{1,2})?"
# Three digits behind a comma may be thousands.
_CELL = re.compile(
    rf"(?P<first>{_NUMBER}) ?(?P<inner>{_ANY_UNIT})? ?"
    rf"(?:(?:-|–|—|‑|\.{{2,3}}|…|to) ?(?P<last>{_NUMBER})"
    rf"|(?:±|\+/-|\+/−|\+-) ?(?P<give>{_NUMBER}) ?(?P<share>%)?)?"
    rf" ?(?P<unit>{_ANY_UNIT})?\.?"
)
_IN_HEAD = re.compile(rf"(?:\A|[\s(\[,/])(?P<unit>{_ANY_UNIT})\.?(?=\Z|[\s)\],/])")
_TWO = re.compile(r"(?P<one>[^(/]+?) ?(?:\((?P<inside>[^()]+)\)|/ ?(?P<behind>[^()/]+))")
_TORQUE = re.compile(r"\b(?:torque|tightening|moment)", re.IGNORECASE)
PARTS = re.compile(
    r"\s*(?:parts?|fasteners?|bolts?|screws?|nuts?|components?|items?|positions?|joints?|where)\b",
    re.IGNORECASE,
)
_ANY_LETTER = re.compile(r"[^\W\d_]")
# What a heading would read as an id or a mark of its own.
_NO_TITLE = re.compile(r"[{}#\[\]`*\\|;]")


@dataclass(frozen=True, slots=True)
class TorqueRow:
    """One row that is a torque: its step's title, the value of the field, the row as it is written,
    and what it is in N·m where it is written in another unit.
    """

    title: str
    field: str
    row: tuple[str, ...]
    converted: str = ""


@dataclass(frozen=True, slots=True)
class OtherRow:
    """One row that is no torque beyond doubt, and why."""

    row: tuple[str, ...]
    why: Remark


@dataclass(frozen=True, slots=True)
class TorqueTable:
    """The rows of a table below its head (empty without one), in their order."""

    head: tuple[str, ...]
    rows: tuple[TorqueRow | OtherRow, ...]

    @property
    def torques(self) -> tuple[TorqueRow, ...]:
        """Those that are torques."""
        return tuple(one for one in self.rows if isinstance(one, TorqueRow))

    @property
    def others(self) -> tuple[OtherRow, ...]:
        """Those that stay as they are."""
        return tuple(one for one in self.rows if isinstance(one, OtherRow))


def read_torques(rows: Rows) -> TorqueTable | None:
    """The torques of a table whose rows have the same number of cells; None where no row is one."""
    head = tuple(rows[0]) if _is_head(rows[0]) else ()
    units = tuple(_unit_of_head(cell) for cell in head) or ("",) * len(rows[0])
    named = tuple(bool(_TORQUE.search(cell)) for cell in head) or (False,) * len(rows[0])
    part = _part_column(rows, head, units)
    below = rows[1:] if head else rows
    read = tuple(_read_row(tuple(row), part, units, named) for row in below)
    table = TorqueTable(head, read)
    return table if table.torques else None


def _is_head(row: Sequence[str]) -> bool:
    says = any(_TORQUE.search(cell) or _unit_of_head(cell) for cell in row)
    return says and not any(any(letter.isdigit() for letter in cell) for cell in row)


def _unit_of_head(cell: str) -> str:
    """The one unit of torque that a head names; empty where it names none or several."""
    found = {_unit(one["unit"]) for one in _IN_HEAD.finditer(" ".join(cell.split()))}
    return found.pop() if len(found) == 1 else ""


def _unit(written: str) -> str:
    return next(unit for unit, form in _SPELLED.items() if form.fullmatch(written))


def _part_column(rows: Rows, head: tuple[str, ...], units: tuple[str, ...]) -> int:
    """The column that names the part: by its head, or the first one with words in every row."""
    for at, cell in enumerate(head):
        if PARTS.match(cell) and not units[at]:
            return at
    below = rows[1:] if head else rows
    for at in range(len(rows[0])):
        cells = [" ".join(row[at].split()) for row in below]
        worded = all(_ANY_LETTER.search(cell) for cell in cells if cell)
        if any(cells) and worded and not any(_CELL.fullmatch(cell) for cell in cells):
            return at
    return -1


def _read_row(
    row: tuple[str, ...], part: int, units: tuple[str, ...], named: tuple[bool, ...]
) -> TorqueRow | OtherRow:
    found: list[Amount] = []
    for at, cell in enumerate(row):
        said = " ".join(cell.split())
        if at == part or not said:
            continue
        is_asked = bool(units[at]) or named[at]
        try:
            found += _amounts(said, units[at])
        except BadAmount as bad:
            if is_asked:
                return OtherRow(row, bad.remark)
    if not found:
        return OtherRow(row, remark("table-of-values"))
    if not _agree(found):
        return OtherRow(row, remark("torques-differ"))
    name = " ".join(row[part].split()) if part >= 0 else ""
    if not _ANY_LETTER.search(name) or _NO_TITLE.search(name) or len(name) > LONGEST_NAME:
        return OtherRow(row, remark("torque-without-part"))
    return _torque(name, found[0], row)


def _amounts(said: str, unit: str) -> list[Amount]:
    """The torque of a cell, and the same one in another unit behind it. Raises BadAmount."""
    both = None if _CELL.fullmatch(said) else _TWO.fullmatch(said)
    if both is None:
        return [_amount(said, unit)]
    return [_amount(both["one"], ""), _amount(both["inside"] or both["behind"], "")]


def _amount(said: str, unit: str) -> Amount:
    """A cell as an amount of the language, its unit its own or that of the head. Raises
    BadAmount.
    """
    found = _CELL.fullmatch(said.strip())
    if found is None:
        raise BadAmount(remark("torque-no-number", text=said))
    own = {_unit(written) for written in (found["inner"], found["unit"]) if written}
    # “5 Nm ± 0.5”: nothing says what the second number is of.
    loose = found["inner"] and not found["unit"] and (found["last"] or found["give"])
    if len(own | ({unit} if unit else set())) > 1:
        raise BadAmount(remark("torque-two-units", text=said))
    if loose and not found["share"]:
        raise BadAmount(remark("torque-no-number", text=said))
    if not own and not unit:
        raise BadAmount(remark("torque-without-unit", text=said))
    written = found["first"]
    if found["last"]:
        written += f"..{found['last']}"
    if found["give"]:
        written += f" ± {found['give']}{' %' if found['share'] else ''}"
    return read_amount(f"{written} {next(iter(own), unit)}", ("torque",))


def _agree(found: list[Amount]) -> bool:
    """Whether all amounts say the same torque. Two of one unit never do: they are two torques."""
    units = [one.unit for one in found]
    if len(set(units)) < len(units):
        return False
    first = _ends(found[0])
    for other in found[1:]:
        for one, two in zip(first, _ends(convert(other, found[0].unit)), strict=True):
            if abs(one - two) * 100 > max(one, two) * APART:
                return False
    return True


def _ends(amount: Amount) -> tuple[float, float]:
    low = amount.low if amount.low is not None else amount.value
    high = amount.high if amount.high is not None else amount.value
    return float(low or 0), float(high or 0)


def _torque(name: str, amount: Amount, row: tuple[str, ...]) -> TorqueRow:
    bare = re.sub(r"\A[Tt]he ", "", name)
    # “Top cap” is a word, “M5 bolt” and “O-ring nut” are names.
    lower = bare[:1].lower() + bare[1:] if bare[1:2].islower() else bare
    field = f"{bare} {amount.text}"
    try:
        is_named = split_amount(field, ("torque",))[0] == bare
    except BadAmount:
        is_named = False
    return TorqueRow(
        f"Torque the {lower} to {amount.text.replace('..', '–')}",
        field if is_named else amount.text,
        row,
        "" if amount.unit == SHOWN else _converted(amount),
    )


def _converted(amount: Amount) -> str:
    """The amount in N·m, with the factor and its source."""
    factor = factors_to(SHOWN)[amount.unit][0]
    low, high = (f"{end * factor:.3g}" for end in _ends(amount))
    said = low if low == high else f"{low} to {high}"
    # The factor without a unit: with one the proofing would hold it against the step's torque.
    return f"{amount.said} times {factor:.7g} ({SOURCE}) ≈ {said} {SHOWN}."
