"""How is it said where the record book does not hold?"""

from __future__ import annotations

from django.utils.translation import gettext

from training.records.book.chain import SEAL, Break


def say_break(found: Break) -> str:
    """One sentence: the entry, or the row or table that has none, and what is wrong with it."""
    if found.number:
        return gettext("Entry {number} ({kind}): {problem}.").format(
            number=found.number, kind=found.kind, problem=found.problem
        )
    if found.kind == SEAL:
        return f"{found.problem}."
    return gettext("Not in the book: {problem}.").format(problem=found.problem)
