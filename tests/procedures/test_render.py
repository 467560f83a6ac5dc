"""Is the text of a step shown as it is meant, and is nothing in it dangerous?"""

import hashlib
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures.writeup.drawings import Picture
from procedures.writeup.parse import parse
from procedures.writeup.render import body_html

ALLOWED = {
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
    "img",
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


class Seen(HTMLParser):
    """Collects tags and attributes as the standard library's parser sees them."""

    def __init__(self, html):
        super().__init__()
        self.tags = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))


@pytest.mark.parametrize(
    ("markdown", "html"),
    [
        ("Give it [[28 N·m]].", '<p>Give it <span class="amount">28 N·m</span>.</p>'),
        ("Give it [[28\nN·m]].", '<p>Give it <span class="amount">28 N·m</span>.</p>'),
        ("Give it [[28 drops]].", "<p>Give it [[28 drops]].</p>"),
        ("`[[28 N·m]]`", "<p><code>[[28 N·m]]</code></p>"),
        ("<b onclick='x'>bold</b>", "<p>&lt;b onclick='x'&gt;bold&lt;/b&gt;</p>"),
        ("![taper up](drawing:glide-ring)", '<p><span class="drawing">taper up</span></p>'),
        (
            "![taper up](https://elsewhere.test/a.png)",
            '<p><span class="drawing">taper up</span></p>',
        ),
        ("Press {: .red onclick=x }", "<p>Press {: .red onclick=x }</p>"),
        ("# Big", "<h4>Big</h4>"),
        ("*a* and **b**", "<p><em>a</em> and <strong>b</strong></p>"),
    ],
)
def test_markdown_becomes_html(markdown, html):
    assert body_html(markdown) == html


def test_a_drawing_that_is_known_is_shown():
    drawings = {"ring": Picture("a ring", address="/drawings/ring.jpg", width=40, height=30)}
    (picture,) = [
        each
        for each in Seen(body_html("![up](drawing:ring) x", drawings=drawings)).tags
        if each[0] == "img"
    ]
    assert picture[1] == {
        "src": "/drawings/ring.jpg",
        "alt": "a ring",
        "width": "40",
        "height": "30",
        "loading": "lazy",
    }


def test_tables_and_definitions_are_shown():
    tags = [
        tag
        for tag, _ in Seen(
            body_html("| a | b |\n|--:|---|\n| 1 | [[5 mL]] |\n\nword\n: meaning\n")
        ).tags
    ]
    assert {"table", "th", "td", "span", "dl", "dt", "dd"} <= set(tags)


def scheme(href):
    """The scheme as the URL Standard (WHATWG, "basic URL parser") finds it: without tabs, line ends
    and what stands before.
    """
    bare = re.sub(r"[\t\r\n]", "", href or "").lstrip("".join(map(chr, range(33))))
    found = re.match(r"([A-Za-z][A-Za-z0-9+.-]*):", bare)
    return found[1].lower() if found else ""


@pytest.mark.parametrize(
    "address",
    [
        "javascript:alert(1)",
        "JaVaScRiPt:alert(1)",
        "data:text/html,x",
        "vbscript:x",
        "&#106;avascript:alert(1)",
        "java\tscript:alert(1)",
        "java\nscript:alert(1)",
        "\x01javascript:x",
    ],
)
def test_a_link_never_carries_a_script(address):
    hrefs = [
        attributes.get("href")
        for tag, attributes in Seen(body_html(f"[x]({address}) <{address}> [y](/here)")).tags
        if tag == "a"
    ]
    assert hrefs[-1] == "/here"
    assert {scheme(href) for href in hrefs} == {""}


PIECES = [
    "<script>",
    "</p>",
    "<img src=x onerror=y>",
    "[a](",
    "javascript:",
    ")",
    "![",
    "](drawing:x)",
    "[[5 mL]]",
    '"',
    "\n\n",
    "    ",
    "`",
    "```\n",
    "| a |\n|--|\n",
    "<!--",
    "-->",
    "&lt;",
    "<",
]


@given(st.lists(st.sampled_from(PIECES) | st.text(max_size=4), max_size=25).map("".join))
def test_only_harmless_elements_and_attributes_come_out(markdown):
    for tag, attributes in Seen(body_html(markdown)).tags:
        assert tag in ALLOWED
        assert set(attributes) <= {"href", "title", "rel", "src", "alt", "class", "align", "start"}
        assert scheme(attributes.get("href")) in ("", "http", "https", "mailto")


def test_quotations_without_end_are_shown_as_they_are_written():
    assert "quoted" in body_html(">" * 3_000 + " quoted <b>")


def test_a_text_leaves_nothing_for_the_next_one():
    assert "href" in body_html("[a][ref]\n\n[ref]: https://one.test")
    assert "href" not in body_html("[a][ref]")
    assert "src" not in body_html("![a](drawing:x)")


RING = Picture(
    "a ring",
    svg='<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title '
    'id="title">R</title><path d="M0 0"/></svg>',
)


def test_a_drawing_alone_is_a_figure_with_its_caption():
    html = body_html(
        "Look.\n\n![up & out](drawing:ring)\n\nGo on.", drawings={"ring": RING}, uid="s"
    )
    assert re.fullmatch(
        r'<p>Look\.</p>\n<figure class="drawing"><svg viewBox="0 0 9 9"><title '
        r'id="s-1-title">R</title><path d="M0 0" /></svg>'
        r'<figcaption class="caption">up &amp; out</figcaption></figure>\n<p>Go on\.</p>',
        html,
    )


def test_drawings_one_below_the_other_stand_side_by_side_with_ids_of_their_own():
    html = body_html("![a](drawing:ring)\n![b](drawing:ring)", drawings={"ring": RING}, uid="s")
    assert html.startswith('<div class="drawings"><figure')
    assert re.findall(r'id="([^"]*)"', html) == ["s-1-title", "s-2-title"]


def test_a_drawing_in_running_text_stays_inside_its_paragraph():
    """HTML Standard: a figure ends a paragraph, a span does not."""
    html = body_html("See ![a](drawing:ring) and ![b](drawing:none).", drawings={"ring": RING})
    assert html.startswith('<p>See <span class="drawing"><svg')
    assert html.endswith('and <span class="drawing">b</span>.</p>')
    assert "<figure" not in html


def test_no_text_puts_itself_in_the_place_of_a_drawing():
    """The mark of a place is the hash of the text: a text that holds the mark of another text is
    only that text.
    """
    first = "![a](drawing:ring)"
    mark = f"{hashlib.sha256(first.encode()).hexdigest()}-0-"
    html = body_html(f"{mark}\n\n<p>{mark}</p>\n\n{first}", drawings={"ring": RING})
    assert html.count("<svg") == 1
    assert html.count(mark) == 2
    assert "&lt;p&gt;" in html


@given(
    st.lists(
        st.sampled_from(
            [
                *PIECES,
                "![a](drawing:ring)",
                "| ![a](drawing:ring) |\n|--|\n",
                "- ![b](drawing:ring)\n",
                "> ",
            ]
        ),
        max_size=12,
    ).map("".join)
)
def test_whatever_is_written_the_drawings_are_the_only_thing_the_cleaner_did_not_pass(markdown):
    html = body_html(markdown, drawings={"ring": RING})
    bare = re.sub(r"<svg.*?</svg>", "", html)
    allowed = ALLOWED | {"figure", "figcaption", "div"}
    for tag, attributes in Seen(bare).tags:
        assert tag in allowed
        assert not any(key.startswith("on") for key in attributes)
    assert not re.search(r"[0-9a-f]{64}-\d+-", html)


@pytest.mark.parametrize("text", ["- " * 900 + "x", "1. " * 900 + "x"], ids=["dashes", "numbers"])
def test_a_text_too_deep_leaves_nothing_for_the_next_one(text):
    body_html(text)
    assert body_html("*a*") == "<p><em>a</em></p>"


# "Trojan Source" (N. Boucher, R. Anderson, 2021): marks of direction make a text show other words
# than it holds.
@pytest.mark.parametrize(
    "hidden", ["\u202e", "&#x202e;", "&#8238;", "&#x200b;", "&zwj;", "&rlm;", "&shy;", "\u200b"]
)
def test_no_letter_that_nobody_sees_reaches_a_reader(hidden):
    assert body_html(f"The seal is {hidden}not seated.") == "<p>The seal is not seated.</p>"


@pytest.mark.parametrize("hidden", ["\\u202e", "\\u200b", "\\xad", "\\uFEFF", "\\0"])
def test_the_header_takes_none_as_an_escape(hidden):
    read = parse(f'---\ntitle: "Air {hidden}spring"\nlevel: air\n---\n\n### A\n\nDo it.\n')
    assert [(fault.code, fault.line) for fault in read.faults] == [("bad-header", 2)]
