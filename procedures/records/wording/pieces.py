"""How are lists and quotations written inside a sentence?"""

from collections.abc import Callable, Sequence
from functools import reduce

from django.utils.functional import Promise
from django.utils.translation import gettext

Words = str | Promise | Callable[..., str]
"""A whole sentence with its arguments in braces, or a function that makes it from them."""


def join_or(parts: Sequence[str]) -> str:
    """Parts joined as a choice: a or b or c."""
    # The whole joint is translated: not every language puts its "or" between two words.
    either = gettext("{first} or {last}")
    return reduce(lambda first, last: either.format(first=first, last=last), parts or [""])


def join_last_or(parts: Sequence[str]) -> str:
    """Parts as a list with a choice at its end: a, b or c."""
    if len(parts) < 2:
        return "".join(parts)
    return gettext("{first} or {last}").format(first=", ".join(parts[:-1]), last=parts[-1])


def say_line(line: int, what: str) -> str:
    """What is told of a line: line 12: what."""
    return gettext("line {line}: {what}").format(line=line, what=what)


def quote(parts: Sequence[str]) -> str:
    """Parts in quotation marks, one after the other."""
    return ", ".join(gettext("“{words}”").format(words=part) for part in parts)
