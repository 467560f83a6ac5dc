"""Where do several judges together set the pass mark (modified Angoff), and how far do they differ?

Each judge says of each item how likely somebody who is only just good enough has it right; the cut
is the mean of the judges' sums (W. H. Angoff in R. L. Thorndike (ed.), Educational Measurement, 2nd
ed., 1971).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, sqrt

from procedures.writeup.remarks import Unreadable, remark


@dataclass(frozen=True, slots=True)
class CutScore:
    """The judges' sums, the cut in items and as a share, the judges' standard deviation (n − 1),
    the standard error of the cut (both None for one judge), and the lowest whole score that passes.
    """

    sums: tuple[float, ...]
    cut: float
    share: float
    sd: float | None
    se: float | None
    lowest_passing: int


class BadRatings(Unreadable):
    """The judges' estimates make no cut score."""


def angoff(ratings: Sequence[Sequence[float]]) -> CutScore:
    """The cut score from one row of chances a judge. Raises BadRatings for no rows, unequal ones,
    or what is no chance.
    """
    # By the digits as typed: 0.7 ten times must make a cut of 7, not of 8 after rounding up.
    exact = [[Fraction(str(chance)) for chance in row] for row in ratings]
    if not exact or not exact[0] or len({len(row) for row in exact}) != 1:
        raise BadRatings(remark("ratings-unequal"))
    if not all(0 <= chance <= 1 for row in exact for chance in row):
        raise BadRatings(remark("no-rating"))
    sums = [sum(row, Fraction(0)) for row in exact]
    cut = sum(sums, Fraction(0)) / len(sums)
    sd = sqrt(sum((one - cut) ** 2 for one in sums) / (len(sums) - 1)) if len(sums) > 1 else None
    return CutScore(
        sums=tuple(map(float, sums)),
        cut=float(cut),
        share=float(cut / len(exact[0])),
        sd=sd,
        se=None if sd is None else sd / sqrt(len(sums)),
        lowest_passing=ceil(cut),
    )
