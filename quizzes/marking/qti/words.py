"""How do an author's words become the text of an item, and how are they read again?

Paragraphs, emphasis and drawings; anything else stays the letters that it is. What is written here
is marked `as-written`, and its white space counts; elsewhere white space is one space, as in HTML.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from lxml import etree

from quizzes.marking.qti.names import local_name, tag

AS_WRITTEN = "as-written"
PIECES = re.compile(
    r"!\[(?P<alt>[^\[\]]*+)\]\(drawing:(?P<drawing>[A-Za-z0-9_-]++)\)"
    r"|\*\*(?P<strong>[^*\s](?:[^*\n]*[^*\s])?)\*\*"
    r"|(?<!\*)\*(?P<em>[^*\s](?:[^*\n]*[^*\s])?)\*(?!\*)"
)
DRAWING = re.compile(r"drawings/([A-Za-z0-9_-]+)\.svg")
MARKS = {"strong": "**", "b": "**", "em": "*", "i": "*"}
SPACE = re.compile(r"\s+")


def write_words(parent: etree._Element, words: str) -> None:
    """Put the words, their emphasis and drawings at the end of an element. Raises ValueError for
    letters that XML cannot hold.
    """
    at = 0
    for found in PIECES.finditer(words):
        _put(parent, words[at : found.start()])
        at = found.end()
        if found["drawing"]:
            write_picture(parent, found["drawing"], found["alt"])
        else:
            name = "strong" if found["strong"] else "em"
            etree.SubElement(parent, tag(name)).text = found[name]
    _put(parent, words[at:])


def write_paragraphs(parent: etree._Element, words: str) -> None:
    """The same, a `p` for each paragraph."""
    for paragraph in words.split("\n\n"):
        write_words(etree.SubElement(parent, tag("p")), paragraph)


def write_picture(parent: etree._Element, drawing: str, alt: str) -> etree._Element:
    """A drawing of the package."""
    return etree.SubElement(parent, tag("img"), src=f"drawings/{drawing}.svg", alt=alt)


def read_words(element: etree._Element, *, keep: bool) -> str:
    """The words of an element with the marks of an author; `keep` their white space as it is. What
    is said after the answer is left out.
    """
    words = "".join(_words(element, keep=keep))
    return words if keep else words.strip()


def read_paragraphs(elements: Iterator[etree._Element], *, keep: bool) -> str:
    """The words of several elements, with an empty line between each two that say something."""
    said = [read_words(one, keep=keep) for one in elements]
    return "\n\n".join(said if keep else filter(None, said))


def _words(element: etree._Element, *, keep: bool) -> Iterator[str]:
    yield _spaced(element.text, keep=keep)
    for child in element:
        name = local_name(child.tag)
        if name == "img":
            yield _picture(child)
        elif name == "br":
            yield "\n"
        elif name in MARKS:
            yield f"{MARKS[name]}{''.join(_words(child, keep=keep))}{MARKS[name]}"
        elif name in ("span", "p", "div"):
            yield from _words(child, keep=keep)
        yield _spaced(child.tail, keep=keep)


def _picture(element: etree._Element) -> str:
    source = element.get("src", "")
    found = DRAWING.fullmatch(source)
    # A picture of elsewhere keeps its address, so that whoever reads the stem is told of it.
    where = f"drawing:{found[1]}" if found else source
    return f"![{element.get('alt', '')}]({where})"


def _put(parent: etree._Element, text: str) -> None:
    """Text at the end of an element, behind what stands in it."""
    if not text:
        return
    if len(parent):
        parent[-1].tail = (parent[-1].tail or "") + text
    else:
        parent.text = (parent.text or "") + text


def _spaced(text: str | None, *, keep: bool) -> str:
    return (text or "") if keep else SPACE.sub(" ", text or "")
