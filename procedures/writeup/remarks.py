"""What is there to be said of a text, as a code with named arguments?

Whoever shows it puts it into words: the catalogue stands in `procedures/records/wording/`.
"""

from dataclasses import dataclass

Args = tuple[tuple[str, object], ...]
"""Named arguments, in plain values that can be compared and hashed; one may be a remark itself."""


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to be said: its code, and what it is told with."""

    code: str
    args: Args = ()


def remark(code: str, **args: object) -> Remark:
    """A remark with these arguments. Its code is written out at each call, so that a test can hold
    all of them against the catalogue.
    """
    return Remark(code, tuple(args.items()))


class Unreadable(ValueError):
    """Something cannot be read; the remark says what is wrong and what to do."""

    def __init__(self, why: Remark) -> None:
        super().__init__(why.code)
        self.remark = why
