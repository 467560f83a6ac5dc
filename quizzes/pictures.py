"""What does a drawing that a question names look like, and how large is it?"""

from __future__ import annotations

import re

from django.utils.safestring import SafeString

from quizzes.marking.spots import Box

VIEW_BOX = re.compile(r'<svg\b[^>]*\bviewBox="(-?\d+)[ ,]+(-?\d+)[ ,]+(\d+)[ ,]+(\d+)"')


def drawn(name: str, *, mirror: bool, uid: str) -> str:
    """The drawing of this name as SVG for a page, its ids ending in `uid`; empty where there is none."""
    return ""


def picture(name: str, *, mirrored: bool = False, uid: str = "q") -> SafeString:
    """The drawing for a page, from the site's own library, so that a page may take it as it is; empty where there is none."""
    return SafeString(drawn(name, mirror=mirrored, uid=uid)) if name else SafeString("")


def box_of(name: str) -> Box | None:
    """The size of a drawing in its own units; None where there is none of this name."""
    found = VIEW_BOX.search(drawn(name, mirror=False, uid="q"))
    return Box(*map(int, found.groups())) if found else None
