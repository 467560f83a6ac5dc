"""How does the Markdown of a step look as safe HTML?"""

import hashlib
import re
from collections.abc import Mapping
from html import escape
from threading import local
from xml.etree.ElementTree import Element

import nh3
from markdown import Markdown
from markdown.extensions import Extension
from markdown.extensions.tables import TableExtension
from markdown.inlinepatterns import InlineProcessor
from markdown.treeprocessors import Treeprocessor

from procedures.writeup.amounts import BadAmount, read_amount
from procedures.writeup.body import INLINE_AMOUNT
from procedures.writeup.drawings import SCHEME, Picture
from procedures.writeup.letters import strip_hidden
from procedures.writeup.remarks import remark

# The Markdown reader takes a time that grows with the square of these; no step that somebody reads
# comes near them.
LONGEST, MOST_LINES, DEEPEST = 20_000, 500, 20
TOO_MUCH = remark("piece-too-much")
"""What is said above a piece that is shown as it is written."""
_BRACKETS = re.compile(r"\n[ \t]*\n|[\[\]()]")

_TAGS = {
    "a",
    "blockquote",
    "br",
    "code",
    "dd",
    "dl",
    "dt",
    "em",
    "h4",
    "h5",
    "h6",
    "hr",
    "li",
    "ol",
    "p",
    "pre",
    "span",
    "strong",
    "table",
    "tbody",
    "td",
    "th",
    "thead",
    "tr",
    "ul",
}
_CLEANER = nh3.Cleaner(
    tags=_TAGS,
    attributes={"a": {"href", "title"}, "ol": {"start"}, "td": {"align"}, "th": {"align"}},
    allowed_classes={"span": {"amount", "drawing"}},
    url_schemes={"http", "https", "mailto"},
    link_rel="noopener noreferrer nofollow",
    strip_comments=True,
)


def body_html(
    markdown_text: str,
    *,
    drawings: Mapping[str, Picture] | None = None,
    uid: str = "drawing",
    too_much: str = "",
) -> str:
    """Safe HTML of a Markdown text; HTML in the text is shown as text.

    An amount in double brackets becomes a span of class amount. A drawing that `drawings` knows
    becomes a figure where it stands alone, and a span of class drawing inside running text; any
    other its description in such a span. Pictures from elsewhere become their description. `uid`
    begins the ids in the drawings and is to be another one for each text on a page. `too_much` is
    the remark TOO_MUCH in words.
    """
    return _READER.html(markdown_text, drawings or {}, uid, too_much)


class _Reader(local):
    """The Markdown reader of one thread: making one takes longer than reading a step with it, and
    it is not to be shared.
    """

    def __init__(self) -> None:
        self._begin()

    def _begin(self) -> None:
        self._pictures = _Pictures()
        # a style attribute would need a weaker content policy
        tables = TableExtension(use_align_attribute=True)
        self._markdown = Markdown(
            extensions=[
                tables,
                "def_list",
                "fenced_code",
                "sane_lists",
                _WriteUpText(self._pictures),
            ]
        )

    def html(self, text: str, drawings: Mapping[str, Picture], uid: str, too_much: str) -> str:
        # Drawings are no HTML that the cleaner knows: it cleans the text with a mark in the place
        # of each, and they are put in afterwards. No text can hold the mark, since that is the hash
        # of the text itself.
        data = text.encode(errors="replace")  # half a character of two halves is no character
        text, mark = data.decode(), hashlib.sha256(data).hexdigest()
        self._pictures.start(drawings, mark, uid)
        if _is_too_much(text):
            return _CLEANER.clean(f"<p>{escape(too_much)}</p><pre>{escape(text)}</pre>")
        try:
            html = self._markdown.reset().convert(text)
        except RecursionError:
            # Quotations in quotations without end: shown as they are written. The reader was left
            # in the middle of them, and its reset() does not lead it out: the next text would come
            # out as if it stood in a list. A fresh one is taken.
            self._begin()
            self._pictures.start({}, mark, uid)
            html = f"<pre>{escape(text)}</pre>"
        clean = strip_hidden(_CLEANER.clean(html))  # `&#x202e;` is such a letter only from here on
        for place, shown in self._pictures.placed.items():
            clean = clean.replace(place, shown, 1)
        return clean


def _is_too_much(text: str) -> bool:
    """Whether a text is longer, or its open brackets are more, than the Markdown reader takes in
    good time.
    """
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
        # Markdown lets HTML through; here it is text, before the cleaner has to judge it.
        md.preprocessors.deregister("html_block")
        md.inlinePatterns.deregister("html")
        # Above the pattern for links (170), which takes brackets too, and below the one for code
        # (190).
        md.inlinePatterns.register(_Amounts(INLINE_AMOUNT.pattern, md), "amount", 175)
        # Below the inline patterns (20), which make the img elements that it looks for.
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


def say_amounts(text: str) -> str:
    """A line that is no Markdown, with each [[28 N·m]] as people read it."""

    def said(found: re.Match[str]) -> str:
        try:
            return read_amount(found[1].strip()).said
        except BadAmount:
            return found[0]

    return INLINE_AMOUNT.sub(said, text)


class _Pictures(Treeprocessor):
    """A mark for each drawing that is known, every other picture as its description; headings below
    a step's.
    """

    def start(self, drawings: Mapping[str, Picture], mark: str, uid: str) -> None:
        """Be ready for a text with this mark; `placed` then holds what belongs in the place of each
        mark.
        """
        self._drawings, self._mark, self._uid, self._count = drawings, mark, uid, 0
        self.placed: dict[str, str] = {}

    def run(self, root: Element) -> None:
        for element in list(root.iter()):
            if element.tag == "p":
                self._figures(element)
            # The page's own headings end with the step's.
            elif element.tag in ("h1", "h2", "h3"):
                element.tag = "h4"
        for element in root.iter():
            if element.tag == "img":
                self._picture(element)

    def _figures(self, paragraph: Element) -> None:
        """Figures instead of a paragraph that holds nothing but drawings that are known."""
        words = [paragraph.text, *(child.tail for child in paragraph)]
        if not len(paragraph) or any((text or "").strip() for text in words):
            return
        shown = [self._shown(child, "figure", "figcaption") for child in paragraph]
        if all(shown):
            for child in list(paragraph):
                paragraph.remove(child)
            html = "".join(shown)
            paragraph.text = self._place(
                f'<div class="drawings">{html}</div>' if len(shown) > 1 else html, "<p>", "</p>"
            )

    def _picture(self, element: Element) -> None:
        shown, alt, tail = (
            self._shown(element, "span", "span"),
            element.get("alt", ""),
            element.tail,
        )
        element.clear()
        element.tag, element.tail = "span", tail
        if shown:
            element.text = self._place(shown, "<span>", "</span>")
        else:
            element.text = alt
            element.set("class", "drawing")

    def _shown(self, element: Element, around: str, below: str) -> str:
        """The drawing of an img element with its caption; nothing where it is no drawing that is
        known.
        """
        source = element.get("src", "") if element.tag == "img" else ""
        picture = (
            self._drawings.get(source.removeprefix(SCHEME)) if source.startswith(SCHEME) else None
        )
        if picture is None:
            return ""
        self._count += 1
        html = picture.html(uid=f"{self._uid}-{self._count}")
        alt = element.get("alt", "")
        caption = f'<{below} class="caption">{escape(alt)}</{below}>' if alt else ""
        return f'<{around} class="drawing">{html}{caption}</{around}>'

    def _place(self, html: str, before: str, after: str) -> str:
        """The mark for this piece; the tags around it go with it."""
        mark = f"{self._mark}-{len(self.placed)}-"
        self.placed[f"{before}{mark}{after}"] = html
        return mark


_READER = _Reader()
