"""What does a watching mechanic look at, line by line, and does what was measured lie where it
should?

The check sheet is made from the write-up: every critical step, every hold point, and every value to
reach.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from procedures.writeup.amounts import BadAmount, lies_within, read_amount
from procedures.writeup.model import Amount, Step
from procedures.writeup.remarks import Remark, remark

UNAIDED, PROMPTED, NOT_RIGHT = "unaided", "prompted", "not right"
SEEN = (UNAIDED, PROMPTED, NOT_RIGHT)


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a line: its name, the amount that the write-up asks for, and what was measured,
    as it was typed.
    """

    name: str
    amount: Amount
    measured: str = ""

    @property
    def wanted(self) -> str:
        """What is asked for, in words: foot bolt 7 ± 0.5 N·m."""
        return f"{self.name} {self.amount.said}".strip()

    @property
    def is_within(self) -> bool | None:
        """Whether what was measured lies in the range, both ends included; a bare number is in the
        write-up's unit.

        None where nothing was measured, or the write-up gives no range to hold it against. Raises
        BadAmount for what cannot be read.
        """
        if not self.measured:
            return None
        # Read even where there is no range, so that a pressure typed for a torque is still refused.
        given = _measured(self.measured, self.amount)
        # Against a bare number any hair's breadth would be a fault; the write-up set no limit.
        return (
            lies_within(given, self.amount)
            if self.amount.low is not None or self.amount.high is not None
            else None
        )

    def as_dict(self) -> dict[str, object]:
        """The value as plain JSON; `within` only where it could be told."""
        told: dict[str, object] = {"wanted": self.wanted, "measured": self.measured}
        return told if self.is_within is None else told | {"within": self.is_within}


@dataclass(frozen=True, slots=True)
class LineSeen:
    """One line: a step, and how it was seen (one of SEEN, or empty so far), with the values as
    measured and a note.
    """

    step: str
    title: str
    critical: bool
    seen: str = ""
    values: tuple[Value, ...] = ()
    note: str = ""

    def as_dict(self) -> dict[str, object]:
        """The line as plain JSON. Raises BadAmount for a value that cannot be read."""
        told: dict[str, object] = {
            "step": self.step,
            "title": self.title,
            "critical": self.critical,
            "seen": self.seen,
            "values": [value.as_dict() for value in self.values],
        }
        return told | {"note": self.note} if self.note else told

    def faults(self) -> list[Remark]:
        """What cannot be written down as it stands: values that cannot be read, and
        values outside their range in a line that is told as right."""
        found = []
        for value in self.values:
            try:
                outside = value.is_within is False
            except BadAmount as bad:
                found.append(remark("value-unreadable", title=self.title, because=bad.remark))
                continue
            # A value outside its range may be the very reason why the line was not right.
            if outside and self.seen != NOT_RIGHT:
                found.append(
                    remark(
                        "value-outside",
                        title=self.title,
                        measured=value.measured,
                        wanted=value.wanted,
                    )
                )
        return found


def check_sheet(steps: Iterable[Step]) -> tuple[LineSeen, ...]:
    """The lines for the steps that apply to one fork, in their order; nothing seen yet."""
    lines = (
        (
            step,
            LineSeen(
                step.id,
                step.title,
                bool(step.critical),
                "",
                tuple(
                    Value(target.name, target.amount) for target in (*step.torques, *step.measures)
                ),
            ),
        )
        for step in steps
    )
    return tuple(line for step, line in lines if step.critical or step.hold or line.values)


def mark_seen(line: LineSeen, how: str, measured: Sequence[str], note: str = "") -> LineSeen:
    """The line as it was seen (empty: not told yet). Raises ValueError for another word than those
    of SEEN.
    """
    if how and how not in SEEN:
        raise ValueError(f"A line is seen as {', '.join(SEEN)}, not as '{how}'.")
    values = tuple(
        replace(value, measured=typed.strip())
        for value, typed in zip(line.values, measured, strict=True)
    )
    return replace(line, seen=how, values=values, note=note.strip())


_LINE = {"step": str, "title": str, "critical": bool, "seen": str, "values": list}
_VALUE = {"wanted": str, "measured": str}


def read_lines(told: object) -> list[dict[str, Any]]:
    """The lines of a check sheet as `as_dict` gave them, from another site. Raises ValueError for
    anything else.
    """
    # A line without keys fails the check below, so that a wrong shape raises the same sentence.
    lines: list[dict[str, Any]] = told if isinstance(told, list) else [{}]
    for line in lines:
        if not (
            _has(line, _LINE, {"note": str})
            and line["seen"] in SEEN
            and all(_has(value, _VALUE, {"within": bool}) for value in line["values"])
        ):
            raise ValueError("This is no check sheet.")
    return lines


def _has(told: object, must: Mapping[str, type], may: Mapping[str, type]) -> bool:
    # What comes from another site is kept as it is: nothing unknown may ride along.
    known = {**must, **may}
    return (
        isinstance(told, dict)
        and must.keys() <= told.keys() <= known.keys()
        and all(isinstance(value, known[name]) for name, value in told.items())
    )


def is_right(lines: Iterable[LineSeen]) -> bool:
    """Whether the work was done right: nothing wrong, and every critical line without a prompt."""
    return all(_done_right(line.seen, line.critical) for line in lines)


def is_told_right(lines: Iterable[Mapping[str, Any]]) -> bool:
    """The same of lines as `as_dict` gave them."""
    return all(_done_right(line["seen"], line["critical"]) for line in lines)


def _done_right(how: str, critical: bool) -> bool:
    return how == UNAIDED or (how == PROMPTED and not critical)


def _measured(text: str, wanted: Amount) -> Amount:
    is_bare = not any(letter.isalpha() or letter in "%°" for letter in text)
    return read_amount(f"{text} {wanted.unit}" if is_bare else text, {wanted.kind})
