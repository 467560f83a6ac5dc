"""Between which bounds does a share lie, seen so many times out of so many?"""

from __future__ import annotations

from functools import lru_cache


@lru_cache(maxsize=1024)  # small numbers of people, which come again for every option and question
def wilson(right: int, people: int, confidence: float = 0.95) -> tuple[float, float] | None:
    """Wilson's score interval without continuity correction (E. B. Wilson, J. Am. Stat. Assoc. 22,
    1927), as scipy works it out; None for nobody.
    """
    if not people:
        return None
    from scipy.stats import binomtest

    bounds = binomtest(right, people).proportion_ci(confidence_level=confidence, method="wilson")
    # At the ends the bound is the end itself, without what rounding leaves.
    return (
        0.0 if right == 0 else float(bounds.low),
        1.0 if right == people else float(bounds.high),
    )
