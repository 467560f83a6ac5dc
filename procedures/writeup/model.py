"""What does a write-up consist of, once it is read?"""

from dataclasses import dataclass
from decimal import Decimal

from procedures.writeup.remarks import Remark

Lines = tuple[tuple[str, tuple[int, ...]], ...]


def lines_of(lines: Lines, key: str) -> tuple[int, ...]:
    """The line of each value under a key, in the order of the values; empty when the key is not
    there.
    """
    return next((found for name, found in lines if name == key), ())


@dataclass(frozen=True, slots=True)
class Amount:
    """A number or a range with its unit. `value` is None for a range, `low` and `high` for a bare
    number.
    """

    low: Decimal | None
    value: Decimal | None
    high: Decimal | None
    unit: str
    kind: str
    text: str

    @property
    def said(self) -> str:
        """The amount for people to read: a range as "3 to 4 turns"."""
        return " to ".join(part.strip() for part in self.text.split(".."))


@dataclass(frozen=True, slots=True)
class Fault:
    """What the reader of the text found wrong; `step` is the id of the step it stands in, None
    outside steps.
    """

    code: str
    level: str
    step: str | None
    about: str
    line: int
    remark: Remark


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety message. `text` is what stands in it beside its three lines."""

    word: str
    title: str
    hazard: str
    harm: str
    avoid: str
    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Condition:
    """`variant = option | option`: holds when the variant has one of the options."""

    variant: str
    options: tuple[str, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Exclusion:
    """One entry of `never`: a combination for which all its conditions hold does not exist."""

    conditions: tuple[Condition, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Variant:
    """A question about the fork, and its possible answers."""

    name: str
    options: tuple[str, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Target:
    """A value to reach (`torque`, `measure`), with the name before it, if any; `text` is both as
    written.
    """

    name: str
    amount: Amount
    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Consumable:
    """Something used up, with its amount, if it is said."""

    name: str
    amount: Amount | None
    line: int


@dataclass(frozen=True, slots=True)
class Check:
    """What is looked at, and what happens if it fails."""

    look: str
    otherwise: str
    line: int


@dataclass(frozen=True, slots=True)
class Phase:
    """A part of the work. `body` is the Markdown between its heading and its first step, without
    the cautions.
    """

    title: str
    line: int
    body: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """The smallest numbered piece of a write-up."""

    id: str
    title: str
    phase: str
    number: int
    line: int
    critical: str = ""
    only_if: tuple[Condition, ...] = ()
    needs: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    opens: tuple[str, ...] = ()
    takes_off: tuple[str, ...] = ()
    fits: tuple[str, ...] = ()
    scraps: tuple[str, ...] = ()
    fits_new: tuple[str, ...] = ()
    uses: tuple[Consumable, ...] = ()
    tools: tuple[str, ...] = ()
    torques: tuple[Target, ...] = ()
    measures: tuple[Target, ...] = ()
    checks: tuple[Check, ...] = ()
    after: tuple[str, ...] = ()
    hold: bool = False
    cautions: tuple[Caution, ...] = ()
    amounts: tuple[Amount, ...] = ()
    body: str = ""
    lines: Lines = ()

    def lines_of(self, key: str) -> tuple[int, ...]:
        """The lines of the values of a field, by the key as it is written (`fits new`)."""
        return lines_of(self.lines, key)


@dataclass(frozen=True, slots=True)
class WriteUp:
    """One procedure of the shop. `faults` says what could not be read; the rest was read without
    it.
    """

    title: str = ""
    level: str = ""
    interval: str = ""
    variants: tuple[Variant, ...] = ()
    given: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    leaves_off: tuple[str, ...] = ()
    follows: str = ""
    never: tuple[Exclusion, ...] = ()
    released: str = ""
    released_at: str = ""
    asks: str = ""
    intro: str = ""
    cautions: tuple[Caution, ...] = ()
    phases: tuple[Phase, ...] = ()
    steps: tuple[Step, ...] = ()
    faults: tuple[Fault, ...] = ()
    lines: Lines = ()

    def lines_of(self, key: str) -> tuple[int, ...]:
        """The lines of the values of a header key, by the key as it is written (`leaves off`)."""
        return lines_of(self.lines, key)
