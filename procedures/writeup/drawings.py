"""Which drawings does a text name, and how is one set into a page: with ids of its own, mirrored,
or without its labels?
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from procedures.writeup.sections import cut

SCHEME = "drawing:"
SVG = "http://www.w3.org/2000/svg"
# "no" where a mirrored drawing would show something else, such as a left-hand thread
NO_MIRROR = "data-mirror"
LABELS = "labels"  # the class of the group with the names of the parts

# Possessive (*+): a row of brackets that never close is given up at once, not tried every way.
_NAMED = re.compile(r"!\[(?:[^\]!]|!(?!\[))*+\]\(\s*<?" + SCHEME + r"([^)\s>]*)")
_TICKS = re.compile(r"`++")
_SIDES = re.compile(r"\b(left|right)\b", re.IGNORECASE)
_OTHER_ANCHOR = {"start": "end", "end": "start"}
_REFERENCE = re.compile(r"url\(#([^()]++)\)")


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as pages show it: a drawing as its SVG text, or a photo as its address with its
    size in pixels.
    """

    description: str
    svg: str = ""
    address: str = ""
    width: int = 0
    height: int = 0

    def html(
        self, *, uid: str, mirror: bool = False, labels: bool = True, named: bool = True
    ) -> str:
        """The picture as HTML. The ids in a drawing begin with `uid`, so that it may stand on a
        page twice; photos are never mirrored.
        """
        if self.svg:
            return place_drawing(self.svg, uid=uid, mirror=mirror, labels=labels, named=named)
        size = f' width="{self.width}" height="{self.height}"' if self.width and self.height else ""
        return (
            f'<img src="{escape(self.address)}" alt="{escape(self.description)}"{size} '
            'loading="lazy">'
        )


@dataclass(frozen=True, slots=True)
class Named:
    """A drawing that a text names, and the line on which it does."""

    name: str
    line: int


def find_named(text: str) -> tuple[Named, ...]:
    """Every drawing that a write-up names, in the order of the text; what stands in code names
    none.
    """
    if SCHEME not in text:
        return ()
    sheet = cut(text)
    return tuple(
        Named(found[1], number)
        for number, row in enumerate(sheet.rows, start=1)
        if SCHEME in row and number not in sheet.fenced
        for found in _NAMED.finditer(strip_code(row))
    )


def strip_code(row: str) -> str:
    """A line without its code spans: a run of ticks up to the next run of the same length, as in
    Markdown.
    """
    runs = [(found.start(), found.end()) for found in _TICKS.finditer(row)]
    next_like: dict[int, int] = {}  # by length: the run that comes next
    closed_by: list[int | None] = [None] * len(runs)
    # From the back, so that each run knows the next of its length without looking ahead.
    for at in range(len(runs) - 1, -1, -1):
        length = runs[at][1] - runs[at][0]
        closed_by[at] = next_like.get(length)
        next_like[length] = at
    kept, start, at = [], 0, 0
    while at < len(runs):
        end = closed_by[at]
        if end is not None:
            kept.append(row[start : runs[at][0]])
            start, at = runs[end][1], end
        at += 1
    return "".join([*kept, row[start:]])


def names_in(text: str) -> frozenset[str]:
    """The names of the drawings that a write-up or a piece of one names."""
    return frozenset(one.name for one in find_named(text))


@lru_cache(maxsize=128)  # a page that is opened again shows the same drawings in the same places
def place_drawing(
    svg: str, *, uid: str, mirror: bool = False, labels: bool = True, named: bool = True
) -> str:
    """A drawing for the inside of a page: its ids begin with `uid`, mirrored if asked for, with or
    without the names of its parts, and with or without its own title and description.

    What only the library needs to know (words to search by) is left out, since it could tell an
    answer. So could a title, which a browser shows beside the pointer: a question leaves it out and
    names the drawing in its own words.
    """
    root = _tree(svg)
    if not named:
        _take_names_off(root)
    if mirror and _may_mirror(root):
        _mirror(root)
    if not labels:
        for parent in root.iter():
            for group in [child for child in parent if child.get("class") == LABELS]:
                parent.remove(group)
    _own_ids(root, uid)
    for key in [key for key in root.attrib if key.startswith("data-")]:
        del root.attrib[key]
    for element in root.iter():
        element.tail = (element.tail or "").strip() or None
        # Only of elements with children: the words of a text are its own.
        if len(element):
            element.text = (element.text or "").strip() or None
    return ElementTree.tostring(root, encoding="unicode")


def view_box(svg: str) -> tuple[float, float, float, float]:
    """Left edge, upper edge, width and height of what a drawing shows, in its own units."""
    return _view_box(_tree(svg))


def words_of(svg: str) -> tuple[str, str, str]:
    """The title of a drawing, its description, and further words to find it by."""
    root = _tree(svg)
    title, described = (" ".join((root.findtext(tag) or "").split()) for tag in ("title", "desc"))
    return title, described, root.get("data-words", "")


def _tree(svg: str) -> Element:
    """The drawing as a tree without namespaces, as HTML takes it. Only library drawings and cleaned
    ones come here.
    """
    root = ElementTree.fromstring(svg)  # noqa: S314  (trusted: shipped with the program, or made anew by the cleaner)
    for element in root.iter():
        element.tag = element.tag.removeprefix(f"{{{SVG}}}")
    return root


def _view_box(root: Element) -> tuple[float, float, float, float]:
    left, top, width, height = (
        float(part) for part in root.get("viewBox", "0 0 1 1").replace(",", " ").split()
    )
    return left, top, width, height


def _may_mirror(root: Element) -> bool:
    # A drawing that says left or right would name the wrong side.
    return root.get(NO_MIRROR) != "no" and not any(_SIDES.search(text) for text in root.itertext())


def _mirror(root: Element) -> None:
    left, _, width, _ = _view_box(root)
    shapes = [child for child in root if child.tag not in ("title", "desc", "defs")]
    # About the middle of what is shown, which need not begin at 0.
    flipped = Element("g", {"transform": f"matrix(-1 0 0 1 {_number(2 * left + width)} 0)"})
    for shape in shapes:
        root.remove(shape)
        flipped.append(shape)
    root.append(flipped)
    # Inherited as in SVG, whose own default is start.
    anchor = root.get("text-anchor", "start")
    for shape in shapes:
        _unflip_words(shape, anchor)


def _unflip_words(element: Element, anchor: str) -> None:
    """Flip each text of a flipped drawing once more, about its own place, and let it run to the
    other side.
    """
    anchor = element.get("text-anchor", anchor)
    if element.tag != "text":
        for child in element:
            _unflip_words(child, anchor)
        return
    x = float(element.get("x", "0"))
    turn = f"matrix(-1 0 0 1 {_number(2 * x)} 0)"
    element.set("transform", f"{element.get('transform', '')} {turn}".strip())
    for part in element.iter():
        own = part.get("text-anchor", anchor)
        part.set("text-anchor", _OTHER_ANCHOR.get(own, own))
        if part is not element and "x" in part.attrib:
            part.set("x", _number(2 * x - float(part.attrib["x"])))
        if "dx" in part.attrib:
            part.set("dx", _number(-float(part.attrib["dx"])))


def _take_names_off(root: Element) -> None:
    for child in [child for child in root if child.tag in ("title", "desc")]:
        root.remove(child)
    for key in ("role", "aria-labelledby"):
        root.attrib.pop(key, None)


def _own_ids(root: Element, uid: str) -> None:
    """Put `uid` before every id, and before every reference to one."""
    for element in root.iter():
        for key, value in element.attrib.items():
            if key == "id":
                element.set(key, f"{uid}-{value}")
            elif key == "aria-labelledby":
                element.set(key, " ".join(f"{uid}-{part}" for part in value.split()))
            elif "url(#" in value:
                element.set(key, _REFERENCE.sub(lambda found: f"url(#{uid}-{found[1]})", value))


def _number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
