"""Between which bounds does a share lie, seen so many times out of so many?"""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist


def wilson(right: int, people: int, confidence: float = 0.95) -> tuple[float, float] | None:
    """Wilson's score interval without continuity correction (E. B. Wilson, J. Am. Stat. Assoc. 22,
    1927); None for nobody.
    """
    if not people:
        return None
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share, by = right / people, z * z / people
    middle = (share + by / 2) / (1 + by)
    half = z * sqrt(share * (1 - share) / people + by / (4 * people)) / (1 + by)
    # At the ends the bound is the end itself, without what rounding leaves.
    return (
        0.0 if right == 0 else max(0.0, middle - half),
        1.0 if right == people else min(1.0, middle + half),
    )


def clopper_pearson(
    right: int, people: int, confidence: float = 0.95
) -> tuple[float, float] | None:
    """The exact interval (Clopper and Pearson, Biometrika 26, 1934), by quantiles of beta
    distributions; None for nobody.
    """
    if not people:
        return None
    from scipy.special import betaincinv

    tail = (1 - confidence) / 2
    low = float(betaincinv(right, people - right + 1, tail)) if right else 0.0
    high = float(betaincinv(right + 1, people - right, 1 - tail)) if right < people else 1.0
    return low, high
