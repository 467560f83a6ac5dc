"""How does the Markdown of a step look as safe HTML?"""

import re
from collections.abc import Mapping
from html import escape
from threading import local
from types import MappingProxyType
from typing import Any
from xml.etree.ElementTree import Element

import nh3
from markdown import Markdown
from markdown.extensions import Extension
from markdown.extensions.tables import TableExtension
from markdown.inlinepatterns import InlineProcessor
from markdown.treeprocessors import Treeprocessor

from procedures.writeup.amounts import BadAmount, read_amount
from procedures.writeup.body import INLINE_AMOUNT

DRAWING = "drawing:"
# The Markdown reader takes a time that grows with the square of these; no step that somebody reads comes near them.
LONGEST, MOST_LINES, DEEPEST = 20_000, 500, 20
TOO_MUCH = "This piece is too long, or its brackets stand too deep in each other, to be laid out. It is shown as it is written."
_BRACKETS = re.compile(r"\n[ \t]*\n|[\[\]()]")

_TAGS = {
    "a", "blockquote", "br", "code", "dd", "dl", "dt", "em", "h4", "h5", "h6", "hr", "img", "li", "ol", "p", "pre", "span",
    "strong", "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
_CLEANER = nh3.Cleaner(
    tags=_TAGS,
    attributes={"a": {"href", "title"}, "img": {"src", "alt"}, "ol": {"start"}, "td": {"align"}, "th": {"align"}},
    allowed_classes={"span": {"amount", "drawing"}, "img": {"drawing"}},
    url_schemes={"http", "https", "mailto"},
    link_rel="noopener noreferrer nofollow",
    strip_comments=True,
)


def body_html(markdown_text: str, *, drawings: Mapping[str, str] | None = None) -> str:
    """Safe HTML of a Markdown text; HTML in the text is shown as text.

    An amount in double brackets becomes a span of class amount; a drawing that `drawings` (name -> address) knows becomes
    a picture, any other its description in a span of class drawing; pictures from elsewhere become their description.
    """
    return _CLEANER.clean(_READER.html(markdown_text, drawings or {}))


class _Reader(local):
    """The Markdown reader of one thread: making one takes longer than reading a step with it, and it is not to be shared."""

    def __init__(self) -> None:
        self._pictures = _Pictures()
        tables = TableExtension(use_align_attribute=True)  # a style attribute would need a weaker content policy
        self._markdown = Markdown(extensions=[tables, "def_list", "fenced_code", "sane_lists", _WriteUpText(self._pictures)])

    def html(self, text: str, drawings: Mapping[str, str]) -> str:
        self._pictures.drawings = drawings
        if _is_too_much(text):
            return f"<p>{TOO_MUCH}</p><pre>{escape(text)}</pre>"
        try:
            return self._markdown.reset().convert(text)
        except RecursionError:
            # Quotations in quotations without end: shown as they are written.
            return f"<pre>{escape(text)}</pre>"


def _is_too_much(text: str) -> bool:
    """Whether a text is longer, or its open brackets are more, than the Markdown reader takes in good time."""
    if len(text) > LONGEST or text.count("\n") > MOST_LINES:
        return True
    depth = {"[": 0, "(": 0}
    for found in _BRACKETS.finditer(text):
        mark = found[0]
        if mark in "[(":
            depth[mark] += 1
            if depth[mark] > DEEPEST:
                return True
        elif mark in "])":
            opening = "[" if mark == "]" else "("
            depth[opening] = max(0, depth[opening] - 1)
        else:
            depth = {"[": 0, "(": 0}  # a new paragraph
    return False


class _WriteUpText(Extension):
    """Markdown as a write-up has it: no HTML, amounts, drawings."""

    def __init__(self, pictures: "_Pictures") -> None:
        super().__init__()
        self._pictures = pictures

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802  (the library's name)
        md.preprocessors.deregister("html_block")
        md.inlinePatterns.deregister("html")
        # Above the pattern for links (170), which takes brackets too, and below the one for code (190).
        md.inlinePatterns.register(_Amounts(INLINE_AMOUNT.pattern, md), "amount", 175)
        md.treeprocessors.register(self._pictures, "drawings", 15)


class _Amounts(InlineProcessor):
    """[[28 N·m]] as a span, when it is an amount."""

    def handleMatch(  # type: ignore[override]  # noqa: N802  (the library's name)
        self, m: re.Match[str], data: str
    ) -> tuple[Element | None, int | None, int | None]:
        try:
            text = read_amount(m[1].strip()).said
        except BadAmount:
            return None, None, None
        span = Element("span", {"class": "amount"})
        span.text = text
        return span, m.start(0), m.end(0)


class _Pictures(Treeprocessor):
    """Drawings as pictures where their address is known, every other picture as its description; headings below a step's."""

    drawings: Mapping[str, str] = MappingProxyType({})

    def run(self, root: Element) -> None:
        for element in root.iter():
            if element.tag == "img":
                self._picture(element)
            elif element.tag in ("h1", "h2", "h3"):
                element.tag = "h4"

    def _picture(self, element: Element) -> None:
        source, alt, tail = element.get("src", ""), element.get("alt", ""), element.tail
        address = self.drawings.get(source.removeprefix(DRAWING)) if source.startswith(DRAWING) else None
        kept: dict[str, Any] = {"class": "drawing"}
        element.clear()
        element.tail = tail
        if address:
            kept |= {"src": address, "alt": alt}
        else:
            element.tag, element.text = "span", alt
        element.attrib.update(kept)


_READER = _Reader()
