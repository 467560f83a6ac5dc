"""How is one rule held for each of many things in one test, where none of them needs a fixture?

A test of its own for each costs more than most such rules take: it is collected in each process,
set up, reported and taken down. Here each thing is looked at all the same, and all that fail are
told, not the first of them.
"""

from collections.abc import Callable, Iterable
from traceback import format_exception
from typing import Any

import pytest

Test = Callable[..., None]


def for_each(cases: Iterable[Any]) -> Callable[[Test], Callable[[], None]]:
    """The test below, held for each of these; of a tuple each part is an argument. A failure names
    every case that fails, with its fault and the lines that led there.
    """
    cases = [case if isinstance(case, tuple) else (case,) for case in cases]

    def in_one(test: Test) -> Callable[[], None]:
        def of_all() -> None:
            assert cases
            faults = [fault for case in cases if (fault := _fault_of(test, case))]
            told = "\n".join([f"{len(faults)} of {len(cases)} cases fail", *faults])
            assert not faults, told

        of_all.__name__, of_all.__doc__ = test.__name__, test.__doc__
        return of_all

    return in_one


def _fault_of(test: Test, case: tuple[Any, ...]) -> str:
    try:
        test(*case)
    except (Exception, pytest.fail.Exception) as fault:
        called = ", ".join(str(getattr(part, "name", part))[:99] for part in case)
        return f"{called}:\n{''.join(format_exception(fault, limit=-2))}"
    return ""
