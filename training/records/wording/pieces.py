"""How are a day, a list, a percentage and the limits of a sign-off written within a sentence?"""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.utils.translation import gettext

from procedures.records.wording.pieces import join_or
from training.standing.evidence import Limits


def join_and(parts: Sequence[str]) -> str:
    """Return parts joined as in a sentence: a, b and c."""
    if len(parts) < 2:
        return "".join(parts)
    # The whole joint is translated: not every language puts its "and" between two words.
    return gettext("{first} and {last}").format(first=", ".join(parts[:-1]), last=parts[-1])


def write_percent(percent: Decimal) -> str:
    """Return a whole percentage, rounded down, so that none just below the pass mark reads as if
    it had reached it: 82 %.
    """
    return f"{int(percent)} %"


def write_limits(limits: Limits) -> str:
    """Return the limits of a sign-off: ring: prong or eyelet."""
    return join_and([f"{variant}: {join_or(options)}" for variant, options in limits])


def write_options(options: Iterable[tuple[str, str]], joined: str = ", ") -> str:
    """Return options of a fork: ring: prong, side: left."""
    return joined.join(f"{variant}: {option}" for variant, option in options)
