"""What do the drawings that questions name look like, and how large are they?

Whoever shows several questions fetches all their drawings at once, as an album.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from django.utils.safestring import SafeString

from procedures.records.library import pictures
from quizzes.kinds.spots import Box

NUMBER = r"(-?\d+(?:\.\d+)?)"
# Read from the text: parsing a whole drawing for four numbers would cost each page a tree.
VIEW_BOX = re.compile(
    rf'<svg\b[^<>]*\bviewBox="\s*{NUMBER}[\s,]+{NUMBER}[\s,]+{NUMBER}[\s,]+{NUMBER}\s*"'
)


class Drawn(Protocol):
    """A drawing of the library or the shop."""

    def html(
        self, *, uid: str, mirror: bool = False, labels: bool = True, named: bool = True
    ) -> str: ...


def fetch_drawings(names: Iterable[str]) -> Mapping[str, Drawn]:
    """The drawings of these names, as far as there are any; at most one query."""
    return pictures(names)


@dataclass(frozen=True, slots=True)
class Album:
    """The drawings of a page, by name."""

    drawn: Mapping[str, Drawn]

    def svg(
        self,
        name: str,
        *,
        uid: str,
        mirrored: bool = False,
        labels: bool = True,
        named: bool = True,
    ) -> SafeString:
        """The drawing for a page, from the site's own library, so that a page may take it as it is;
        empty where there is none.
        """
        found = self.drawn.get(name)
        if found is None:
            return SafeString("")
        return SafeString(found.html(uid=uid, mirror=mirrored, labels=labels, named=named))

    def box(self, name: str) -> Box | None:
        """The size of a drawing in its own units, rounded to whole ones; None where there is no
        drawing of this name.
        """
        found = VIEW_BOX.search(self.svg(name, uid="q"))
        return Box(*(round(float(number)) for number in found.groups())) if found else None

    def mirrors(self, name: str) -> bool:
        """Whether a drawing can be shown mirrored; one that would show something else then, such as
        a thread, stays as it is.
        """
        # The drawing itself says whether it may be turned; then both come out alike.
        return self.svg(name, uid="q", mirrored=True) != self.svg(name, uid="q")


NO_PICTURES = Album({})


def album(names: Iterable[str]) -> Album:
    """The drawings of these names; at most one query."""
    wanted = set(names)
    return Album(fetch_drawings(wanted)) if wanted else NO_PICTURES
