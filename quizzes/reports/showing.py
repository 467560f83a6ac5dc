"""How do words and drawings of a question look on a page, mirrored or not, with a spot marked or
not?
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString

from procedures.records.wording.say import say
from procedures.writeup.render import TOO_MUCH, body_html
from quizzes.kinds.kind import Asked
from quizzes.kinds.spots import SHOWN, Box, Cell, Circle, Rectangle, cells
from quizzes.records.album import Album


@dataclass(frozen=True, slots=True)
class Mark:
    """A region as it lies on the drawing that is seen: a rectangle or, where there is a radius, a
    circle; as text for a page.
    """

    x: str
    y: str
    width: str = ""
    height: str = ""
    radius: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """A drawing to point at, as it is seen. `marks` stay empty until the sitting has ended."""

    svg: SafeString
    box: Box
    mirrored: bool
    cells: tuple[Cell, ...]
    cross: tuple[int, int] | None = None
    marks: tuple[Mark, ...] = ()

    @property
    def view_box(self) -> str:
        return f"{self.box.x} {self.box.y} {self.box.width} {self.box.height}"

    def lines(self) -> dict[str, str]:
        """The four ends of the cross and its middle, as text for a page; in the upper left corner
        where nothing was pointed at.
        """
        x, y = self.cross or (self.box.x, self.box.y)
        ends = {"left": self.box.x, "right": self.box.x + self.box.width, "top": self.box.y}
        ends |= {"bottom": self.box.y + self.box.height, "x": x, "y": y}
        return {name: str(value) for name, value in ends.items()} | {
            "radius": str(max(3, self.box.width // 60))
        }


def render_html(markdown: str, pictures: Album, *, mirrored: bool = False, uid: str) -> SafeString:
    """Markdown as HTML with the drawings it names; a drawing that is not there is told in its own
    words.

    `body_html` lets only harmless elements through, and drawings come from the site's own library,
    so that a page may take it as it is.
    """
    if not markdown:
        return SafeString("")
    found: list[SafeString] = []
    # It stands for a drawing while the words around it become HTML; no text holds its own hash.
    mark = sha256(markdown.encode(errors="replace")).hexdigest()

    def stand_in(shown: re.Match[str]) -> str:
        svg = pictures.svg(
            shown[2], mirrored=mirrored, uid=f"{uid}-{len(found)}", named=not shown[1]
        )
        if not svg:
            return shown[0]
        named = format_html(
            '<span class="drawing" role="img" aria-label="{}">{}</span>', shown[1], svg
        )
        found.append(named if shown[1] else format_html('<span class="drawing">{}</span>', svg))
        return f"{mark}x{len(found) - 1}x"

    words = body_html(SHOWN.sub(stand_in, markdown), too_much=say(TOO_MUCH))
    return SafeString(re.sub(rf"{mark}x(\d+)x", lambda token: str(found[int(token[1])]), words))


def first_line(stem: str) -> str:
    """The first line of a stem without its Markdown marks; a drawing that stands first is told in
    its words.
    """
    lines = (SHOWN.sub(r"\1", line).strip(" #*>") for line in stem.splitlines())
    return next((line for line in lines if line), "")


LONGEST_HEADING = 160
_OTHER_BLOCK = re.compile(r"\s*(?:[>*+|-]|\d+[.)]\s|```|!\[)")
_FIRST_SENTENCE = re.compile(r"(?s)(.+?[.?!])\s+(?=\S)")
_PARAGRAPH = re.compile(r"(?s)<p>(.*)</p>\s*")


def heading_and_rest(stem: str) -> tuple[str, str]:
    """The words that ask, for the heading of a page, and what is left of the stem below it.

    It is the first paragraph; of a long one its first sentence. A stem without a paragraph gives
    its first line, and keeps all of itself.
    """
    blocks = re.split(r"\n\s*\n", stem.strip())
    for at, block in enumerate(blocks):
        if _OTHER_BLOCK.match(block) or SHOWN.search(block):
            continue
        found = _FIRST_SENTENCE.match(block) if len(block) > LONGEST_HEADING else None
        asks, left = (found[1], block[found.end() :]) if found else (block, "")
        rest = [*blocks[:at], left, *blocks[at + 1 :]]
        return asks.lstrip("# "), "\n\n".join(part for part in rest if part)
    return first_line(stem), stem


def heading_html(words: str, pictures: Album, *, uid: str) -> SafeString:
    """Words as they stand inside a heading: their Markdown, without the paragraph around it."""
    found = _PARAGRAPH.fullmatch(render_html(words, pictures, uid=uid))
    if found is None or "<p" in found[1]:
        return conditional_escape(words)
    return SafeString(found[1])


def option_pictures(
    asked: Asked, shown: Mapping[str, Any], pictures: Album, uid: str
) -> tuple[SafeString, ...]:
    """The drawing of each option, in the order shown, empty where it has none. The option's words
    say the same to who can't see it.
    """
    mirrored = shown.get("mirrored", False)
    svgs = [
        pictures.svg(name, mirrored=mirrored, labels=False, named=False, uid=f"{uid}-o{place}")
        for place, name in enumerate(asked.option_drawings(shown))
    ]
    return tuple(
        format_html('<span class="drawing" aria-hidden="true">{}</span>', svg)
        if svg
        else SafeString("")
        for svg in svgs
    )


def variant_words(variant: Iterable[tuple[str, str]]) -> str:
    """The options of a fork, in words."""
    return ", ".join(f"{name}: {option}" for name, option in variant)


def spot_to_point_at(
    asked: Asked, pictures: Album, *, mirrored: bool, given: Any, uid: str, labels: bool = False
) -> Spot | None:
    """The drawing as it is seen, with the cross where somebody pointed and without any region; None
    where there is none. The names of its parts are left out: they could be what is asked for.
    """
    drawing = asked.drawing_to_point_at()
    box = pictures.box(drawing)
    if box is None:
        return None
    cross = None if given is None else (box.mirrored(given[0]) if mirrored else given[0], given[1])
    svg = pictures.svg(drawing, mirrored=mirrored, uid=uid, labels=labels)
    return Spot(svg, box, mirrored, cells(box), cross)


def spot_after_the_end(
    asked: Asked, pictures: Album, *, mirrored: bool, given: Any, uid: str
) -> Spot | None:
    """The drawing with the cross and the regions that were right; only for an ended sitting and for
    those who write.
    """
    spot = spot_to_point_at(asked, pictures, mirrored=mirrored, given=given, uid=uid, labels=True)
    if spot is None:
        return None
    marks = tuple(_mark(region, spot.box, mirrored) for region in asked.right_regions())
    return Spot(spot.svg, spot.box, mirrored, (), spot.cross, marks)


def _mark(region: Rectangle | Circle, box: Box, mirrored: bool) -> Mark:
    if isinstance(region, Circle):
        x = box.mirrored(region.x) if mirrored else region.x
        return Mark(str(x), str(region.y), radius=str(region.radius))
    x = box.mirrored(region.x + region.width) if mirrored else region.x
    return Mark(str(x), str(region.y), width=str(region.width), height=str(region.height))
