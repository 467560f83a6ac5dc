"""Which plain shapes and words does an uploaded SVG hold? It is made anew from those, and from
nothing else.
"""

import math
import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from procedures.pictures.made import DRAWING, BadPicture, Clean
from procedures.pictures.xml import BadXml, read_xml
from procedures.writeup.remarks import remark

if TYPE_CHECKING:
    from lxml.etree import _Element

LARGEST_SVG = 200_000  # bytes
MOST_ELEMENTS = 2_000
SVG = "http://www.w3.org/2000/svg"

# possessive: digits have one reading only
_NUMBER = r"[-+]?(?:\d++(?:\.\d*+)?|\.\d++)(?:[eE][-+]?\d++)?"
_VALUES = {
    "number": re.compile(rf"({_NUMBER})(?:px)?"),
    "numbers": re.compile(rf"{_NUMBER}(?:[\s,]++{_NUMBER})*+"),
    "path": re.compile(r"[MmLlHhVvCcSsQqTtAaZz0-9eE+\-.,\s]*"),
    "transform": re.compile(
        r"(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*+\([-+0-9eE.,\s]*+\)[\s,]*+)*+"
    ),
    "id": re.compile(r"[A-Za-z_][\w.-]{0,80}", re.ASCII),
    "word": re.compile(r"[a-zA-Z0-9-]{1,30}"),
    "reference": re.compile(r"url\(\s*['\"]?#([A-Za-z_][\w.-]{0,80})['\"]?\s*\)", re.ASCII),
}
_LOOK = {
    "fill": "paint",
    "stroke": "paint",
    "fill-opacity": "number",
    "stroke-opacity": "number",
    "opacity": "number",
    "stroke-width": "number",
    "stroke-dasharray": "numbers",
    "stroke-dashoffset": "number",
    "stroke-miterlimit": "number",
    "stroke-linecap": "word",
    "stroke-linejoin": "word",
    "fill-rule": "word",
    "clip-rule": "word",
    "clip-path": "reference",
    "marker-start": "reference",
    "marker-mid": "reference",
    "marker-end": "reference",
    "font-size": "number",
    "font-weight": "word",
    "font-style": "word",
    "text-anchor": "word",
    "transform": "transform",
    "display": "word",
    "visibility": "word",
    "vector-effect": "word",
}
_BOX = {"x": "number", "y": "number", "width": "number", "height": "number"}
_TEXT = {"x": "number", "y": "number", "dx": "number", "dy": "number"}
_ELEMENTS: Mapping[str, Mapping[str, str]] = {
    "g": {},
    "defs": {},
    "path": {"d": "path"},
    "rect": {**_BOX, "rx": "number", "ry": "number"},
    "circle": {"cx": "number", "cy": "number", "r": "number"},
    "ellipse": {"cx": "number", "cy": "number", "rx": "number", "ry": "number"},
    "line": {"x1": "number", "y1": "number", "x2": "number", "y2": "number"},
    "polyline": {"points": "numbers"},
    "polygon": {"points": "numbers"},
    "text": _TEXT,
    "tspan": _TEXT,
    "pattern": {
        **_BOX,
        "patternUnits": "word",
        "patternContentUnits": "word",
        "patternTransform": "transform",
        "viewBox": "numbers",
    },
    "clipPath": {"clipPathUnits": "word"},
    "marker": {
        "markerWidth": "number",
        "markerHeight": "number",
        "markerUnits": "word",
        "refX": "number",
        "refY": "number",
        "orient": "orient",
        "viewBox": "numbers",
    },
}
_SILENT = ("title", "desc", "metadata")  # our own words take their place
_WORDS = ("text", "tspan")
# A drawing stands on pages with a light and with a dark ground, and on paper.
_PAPER = {"white", "#fff", "#ffffff", "none", "transparent"}


def clean_svg(data: bytes, *, title: str, description: str) -> Clean:
    """The drawing made anew from its plain shapes and words, under this title and description, in
    ink: white becomes open, every other colour the ink of the page. What drawing programs note for
    themselves is dropped.

    Raises BadPicture for anything that could act or fetch (scripts, links, styles, images,
    entities), and for a file that is too large.
    """
    if len(data) > LARGEST_SVG:
        raise BadPicture(
            remark("drawing-too-large", size=len(data) // 1000, most=LARGEST_SVG // 1000)
        )
    source = _read(data)
    left, top, width, height = _view_box(source)
    root = Element(
        "svg",
        {
            "xmlns": SVG,
            "viewBox": " ".join(f"{side:g}" for side in (left, top, width, height)),
            "role": "img",
            "aria-labelledby": "title desc",
            "fill": "currentColor",
            "font-size": "13",
        },
    )
    for tag, text in (("title", title), ("desc", description)):
        ElementTree.SubElement(root, tag, {"id": tag}).text = text
    look = dict(_attributes(source, _LOOK))
    inner = ElementTree.SubElement(root, "g", look) if look else root
    _copy(source, inner)
    if not any(
        len(element) == 0 and element.tag not in ("title", "desc", "g", "defs")
        for element in root.iter()
    ):
        raise BadPicture(remark("drawing-without-shapes"))
    return Clean(
        DRAWING,
        ElementTree.tostring(root, encoding="utf-8", xml_declaration=False),
        math.ceil(width),
        math.ceil(height),
    )


def _read(data: bytes) -> "_Element":
    try:
        root = read_xml(data)
    except BadXml as bad:
        if bad.has_type:
            raise BadPicture(remark("drawing-of-document-type")) from bad
        why = remark("drawing-unreadable", line=bad.line) if bad.line else remark("drawing-no-xml")
        raise BadPicture(why) from bad
    if root.tag != f"{{{SVG}}}svg":
        raise BadPicture(remark("no-drawing"))
    if sum(1 for _ in root.iter()) > MOST_ELEMENTS:
        raise BadPicture(remark("drawing-of-pieces", most=MOST_ELEMENTS))
    return root


def _view_box(source: "_Element") -> tuple[float, float, float, float]:
    given = source.get("viewBox", "")
    if not given:
        size = [
            _VALUES["number"].fullmatch(source.get(side, "").strip())
            for side in ("width", "height")
        ]
        given = "0 0 " + " ".join(found[1] for found in size if found)
    try:
        sides = [float(side) for side in given.replace(",", " ").split()]
    except ValueError:
        sides = []
    if (
        len(sides) != 4
        or not all(map(math.isfinite, sides))
        or not (0 < sides[2] < 1e5 and 0 < sides[3] < 1e5)
    ):
        raise BadPicture(remark("drawing-without-size"))
    return sides[0], sides[1], sides[2], sides[3]


def _copy(source: "_Element", target: Element) -> None:
    """Copy what is allowed below one element to below another."""
    for child in source:
        tag = child.tag
        # With entities unresolved, lxml hands them on as nodes whose tag is a function.
        if not isinstance(tag, str):
            raise BadPicture(remark("drawing-of-entity"))
        space, _, name = tag.rpartition("}")
        if space.lstrip("{") != SVG or name in _SILENT:
            # Told, not dropped in silence: whoever drew it should know that the file can act.
            if name.lower() in ("script", "foreignobject", "iframe", "style"):
                raise _not_taken(name)
            continue  # what a drawing program notes for itself
        if name not in _ELEMENTS:
            raise _not_taken(name)
        made = ElementTree.SubElement(
            target, name, dict(_attributes(child, {**_LOOK, **_ELEMENTS[name], "id": "id"}))
        )
        if name in _WORDS:
            made.text, made.tail = child.text, child.tail if target.tag in _WORDS else None
        _copy(child, made)


def _not_taken(name: str) -> BadPicture:
    return BadPicture(remark("drawing-of-element", name=name))


def _attributes(element: "_Element", allowed: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The attributes that are allowed here and hold what they should; declarations of a style
    attribute count as attributes.
    """
    given = {str(key): str(value).strip() for key, value in element.attrib.items()}
    # On every attribute, also those of other name spaces: xlink:href fetches as href does.
    for key in given:
        bare = key.rpartition("}")[2].lower()
        if bare.startswith("on"):
            raise BadPicture(remark("drawing-that-acts", name=bare))
        if bare in ("href", "src"):
            raise BadPicture(remark("drawing-of-link"))
    for declaration in given.pop("style", "").split(";"):
        key, _, value = declaration.partition(":")
        given[key.strip()] = value.strip()
    for key, value in given.items():
        # CSS reads a backslash inside “url” as an escape, which hid the word from a plain search.
        if "url(" in value.lower().replace("\\", "") and not _VALUES["reference"].fullmatch(value):
            raise BadPicture(remark("drawing-points-outside"))
        if key in allowed:
            kept = _value(allowed[key], value)
            if kept:
                yield key, kept


def _value(kind: str, value: str) -> str:
    """The value as it is kept; nothing where it is not of this kind. Ids get a beginning of their
    own, so that they meet none of ours.
    """
    if kind == "paint":
        inside = _VALUES["reference"].fullmatch(value)
        return (
            f"url(#d-{inside[1]})"
            if inside
            else "none"
            if value.lower() in _PAPER
            else "currentColor"
        )
    if kind == "orient":
        return (
            value
            if value in ("auto", "auto-start-reverse") or _VALUES["number"].fullmatch(value)
            else ""
        )
    found = _VALUES[kind].fullmatch(value)
    if not found:
        return ""
    if kind == "id":
        return f"d-{value}"
    if kind == "reference":
        return f"url(#d-{found[1]})"
    return found[1] if kind == "number" else value
