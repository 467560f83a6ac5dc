"""What do the field lines of a step say?"""

from typing import Any

from procedures.writeup.amounts import BadAmount, split_amount
from procedures.writeup.grammar import KEYS, NAMES, BadCondition, read_condition, split_values
from procedures.writeup.letters import hidden_in
from procedures.writeup.model import Check, Condition, Consumable, Fault, Lines, Target
from procedures.writeup.remarks import Remark, remark
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

    def fault(self, about: str, line: int, said: Remark, code: str = "bad-field") -> None:
        self.faults.append(Fault(code, "error", self.step, about, line, said))

    def read(self, sheet: Sheet, numbers: range) -> int:
        """Read the lines directly under the heading; the number of the first line that belongs to
        the text below them.
        """
        for number in numbers:
            row = sheet.line(number)
            if not row.strip():
                return number
            # Its lines would be read as fields otherwise, and an example in code would take effect.
            if number in sheet.fences:
                self.fault(row.strip(), number, remark("fence-under-heading"))
                return number
            self._row(row, number)
        return numbers.stop

    def _row(self, row: str, line: int) -> None:
        key, colon, value = (piece.strip() for piece in row.partition(":"))
        if not colon:
            self.fault(row.strip(), line, remark("no-field-line", line=row.strip()))
            return
        if key not in KEYS:
            self.fault(key, line, remark("unknown-field", key=key))
        elif not value:
            self.fault(key, line, remark("field-without-value", key=key))
        # A reason is a sentence and may hold a semicolon.
        elif key == "critical":
            self._keep("critical", key, value, line)
        else:
            self._parts(key, value, line)

    def _parts(self, key: str, value: str, line: int) -> None:
        for part in split_values(value):
            if not part:
                self.fault(key, line, remark("empty-value", key=key))
                continue
            # Names are compared; what is looked at is only read, and may hold a sign of two parts.
            if key != "check" and (hidden := hidden_in(part)):
                self.fault(part, line, remark("hidden-letter", letter=hidden))
                continue
            try:
                self._value(key, part, line)
            except BadCondition as bad:
                self.fault(part, line, bad.remark)
            except BadAmount as bad:
                self.fault(part, line, bad.remark, "bad-amount")

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
            self.fault(part, line, remark("hold-not-yes"))

    def _check(self, part: str, line: int) -> None:
        look, bar, otherwise = (piece.strip() for piece in part.partition("|"))
        if not look or (bar and not otherwise):
            self.fault("check", line, remark("check-side-empty"))
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
        raise BadAmount(remark("use-without-name", text=part))
    return Consumable(name, amount, line)


def _target(part: str, line: int, kinds: tuple[str, ...] | None) -> Target:
    name, amount = split_amount(part, kinds)
    if amount is None:
        raise BadAmount(remark("target-without-amount", text=part))
    return Target(name, amount, part, line)
