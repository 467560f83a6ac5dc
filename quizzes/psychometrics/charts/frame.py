"""How does a chart become an SVG that a page can hold and a screen reader can tell?

Everything is drawn in the ink of the page (currentColor); lines differ by their dashes, never by
colour. Each chart has a title and a description, and the page that shows it holds the same numbers
as a table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from html import escape

from procedures.writeup.remarks import Remark

Say = Callable[[Remark], str]
"""How the words of a chart are said."""

# one line each; beyond, they come round again
DASHES = ("", "7 4", "2 4", "10 4 2 4", "1 6", "14 4", "6 2 2 2 2 2")
LETTER = 12  # units high; a chart of 360 units is about as wide as a phone's page


def chart(
    uid: str, width: int, height: int, title: str, description: str, parts: Iterable[str]
) -> str:
    """The whole SVG; `uid` is a word that no other picture of the page has."""
    return (
        f'<svg viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" '
        f'aria-labelledby="{escape(uid)}-title {escape(uid)}-desc" font-size="{LETTER}" '
        'fill="none" stroke="currentColor">'
        f'<title id="{escape(uid)}-title">{escape(title)}</title>'
        f'<desc id="{escape(uid)}-desc">{escape(description)}</desc>{"".join(parts)}</svg>'
    )


def text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="currentColor" '
        f'stroke="none">{escape(words)}</text>'
    )


def line(x1: float, y1: float, x2: float, y2: float, *, dash: str = "", width: float = 1) -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" '
        f'stroke-width="{width:g}"{dashed}/>'
    )


def path(points: Sequence[tuple[float, float]], *, dash: str = "", width: float = 2) -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<polyline points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in points)}" '
        f'stroke-width="{width:g}"{dashed}/>'
    )


def dot(x: float, y: float, radius: float = 3) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="currentColor" stroke="none"/>'
