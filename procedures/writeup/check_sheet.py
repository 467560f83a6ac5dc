"""What does a watching mechanic look at, line by line?

The check sheet is made from the write-up: every critical step, every hold point, and every value to reach.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from procedures.writeup.model import Step

UNAIDED, PROMPTED, NOT_RIGHT = "unaided", "prompted", "not right"
SEEN = (UNAIDED, PROMPTED, NOT_RIGHT)


@dataclass(frozen=True, slots=True)
class Line:
    """One line: a step, why it is looked at, and the values that are measured there (as the write-up has them)."""

    step: str
    title: str
    number: int
    critical: str
    hold: bool
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LineSeen:
    """How one line was seen (one of SEEN, or empty so far), with the values as measured."""

    step: str
    title: str
    critical: bool
    seen: str = ""
    values: tuple[tuple[str, str], ...] = ()

    def as_dict(self) -> dict[str, object]:
        """The line as plain JSON."""
        return {
            "step": self.step, "title": self.title, "critical": self.critical, "seen": self.seen,
            "values": [{"wanted": wanted, "measured": measured} for wanted, measured in self.values],
        }


def check_sheet(steps: Iterable[Step]) -> tuple[Line, ...]:
    """The lines for the steps that apply to one fork, in their order."""
    lines = (
        Line(
            step.id, step.title, step.number, step.critical, step.hold,
            tuple(f"{value.name} {value.amount.said}".strip() for value in (*step.torques, *step.measures)),
        )
        for step in steps
    )
    return tuple(line for line in lines if line.critical or line.hold or line.values)


def unseen(lines: Iterable[Line]) -> tuple[LineSeen, ...]:
    """The sheet before the job: nothing seen yet."""
    return tuple(
        LineSeen(line.step, line.title, bool(line.critical), "", tuple((value, "") for value in line.values))
        for line in lines
    )


def seen(line: LineSeen, how: str, measured: Sequence[str]) -> LineSeen:
    """The line as it was seen. Raises ValueError for a word that is not one of SEEN."""
    if how not in SEEN:
        raise ValueError(f"A line is seen as {', '.join(SEEN)}, not as '{how}'.")
    values = tuple((wanted, value) for (wanted, _), value in zip(line.values, measured, strict=True))
    return replace(line, seen=how, values=values)


def is_right(lines: Iterable[LineSeen]) -> bool:
    """Whether the work was done right: nothing wrong, and every critical line without a prompt."""
    return all(line.seen == UNAIDED or (line.seen == PROMPTED and not line.critical) for line in lines)
