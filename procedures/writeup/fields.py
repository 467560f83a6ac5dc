"""What do the field lines of a step say?"""

from typing import Any

from procedures.writeup.amounts import BadAmount, split_amount
from procedures.writeup.grammar import KEYS, NAMES, BadCondition, parted, read_condition
from procedures.writeup.model import Check, Condition, Consumable, Fault, Lines, Target
from procedures.writeup.sections import Sheet


class FieldReader:
    """Reads the field lines of one step: `values` for the model by its own names, `lines` and
    `faults`.
    """

    def __init__(self, step: str) -> None:
        self.step = step
        self.values: dict[str, list[Any]] = {}
        self.faults: list[Fault] = []
        self._lines: dict[str, list[int]] = {}

    @property
    def lines(self) -> Lines:
        return tuple((key, tuple(lines)) for key, lines in self._lines.items())

    def fault(self, about: str, line: int, message: str, code: str = "bad-field") -> None:
        self.faults.append(Fault(code, "error", self.step, about, line, message))

    def read(self, sheet: Sheet, numbers: range) -> int:
        """Read the lines directly under the heading; the number of the first line that belongs to
        the text below them.
        """
        for number in numbers:
            row = sheet.line(number)
            if not row.strip():
                return number
            if number in sheet.fences:
                self.fault(
                    row.strip(),
                    number,
                    "A code fence stands directly under the heading. Leave a blank line above it.",
                )
                return number
            self._row(row, number)
        return numbers.stop

    def _row(self, row: str, line: int) -> None:
        key, colon, value = (piece.strip() for piece in row.partition(":"))
        if not colon:
            self.fault(
                row.strip(),
                line,
                f"“{row.strip()}” is no field line. Write key: value, or leave a blank line "
                "above the text.",
            )
            return
        if key not in KEYS:
            self.fault(
                key,
                line,
                f"“{key}” is no field of a step. Leave a blank line above the text, or "
                "correct the key.",
            )
        elif not value:
            self.fault(key, line, f"“{key}” has no value. Write one or take the line out.")
        elif key == "critical":
            self._keep("critical", key, value, line)
        else:
            self._parts(key, value, line)

    def _parts(self, key: str, value: str, line: int) -> None:
        for part in parted(value):
            if not part:
                self.fault(
                    key,
                    line,
                    f"“{key}” has an empty value between two semicolons. Take one semicolon out.",
                )
                continue
            try:
                self._value(key, part, line)
            except BadCondition as bad:
                self.fault(part, line, str(bad))
            except BadAmount as bad:
                self.fault(part, line, str(bad), "bad-amount")

    def _value(self, key: str, part: str, line: int) -> None:
        if key in NAMES:
            self._keep(NAMES[key], key, part, line)
        elif key == "only if":
            self._keep("only_if", key, read_condition(part, line), line)
        elif key == "uses":
            self._keep("uses", key, _consumable(part, line), line)
        elif key == "torque":
            self._keep("torques", key, _target(part, line, ("torque",)), line)
        elif key == "measure":
            self._keep("measures", key, _target(part, line, None), line)
        elif key == "check":
            self._check(part, line)
        elif part == "yes":
            self._keep("hold", key, True, line)
        else:
            self.fault(part, line, "“hold” is yes, or the line is left out.")

    def _check(self, part: str, line: int) -> None:
        look, bar, otherwise = (piece.strip() for piece in part.partition("|"))
        if not look or (bar and not otherwise):
            self.fault(
                "check",
                line,
                "A side of this check is empty. Write what is looked at | what happens if it "
                "fails.",
            )
        else:
            self._keep("checks", "check", Check(look, otherwise, line), line)

    def _keep(
        self,
        name: str,
        key: str,
        value: str | bool | Condition | Consumable | Target | Check,
        line: int,
    ) -> None:
        self.values.setdefault(name, []).append(value)
        self._lines.setdefault(key, []).append(line)


def _consumable(part: str, line: int) -> Consumable:
    name, amount = split_amount(part)
    if not name:
        raise BadAmount(f"“{part}” does not say what is used. Write its name before the amount.")
    return Consumable(name, amount, line)


def _target(part: str, line: int, kinds: tuple[str, ...] | None) -> Target:
    name, amount = split_amount(part, kinds)
    if amount is None:
        raise BadAmount(
            f"“{part}” has no amount that can be read. Write a number and a unit, such as 28 "
            "± 2 N·m."
        )
    return Target(name, amount, part, line)
