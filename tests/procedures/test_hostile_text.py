"""Does nothing that is written in a write-up run in a reader's browser?

The vectors are of the OWASP "XSS Filter Evasion Cheat Sheet" (published by the OWASP Foundation, CC
BY-SA), typed from memory. Each is put in every place of a write-up where text can stand; the whole
page that comes out is read with the standard library's parser and held against a list of what a
page of ours may have.
"""

import re
from html.parser import HTMLParser

import pytest
from django.urls import reverse

from tests.procedures.factories import RevisionFactory
from tests.procedures.test_render import scheme

pytestmark = pytest.mark.django_db

VECTORS = (
    "<SCRIPT SRC=https://cdn.example/xss.js></SCRIPT>",
    "javascript:/*--></title></style></textarea></script></xmp><svg/onload='+/\"`/+/onmouseover=1/+/[*/[]/+alert(42);//'>",
    '<a onmouseover="alert(document.cookie)">xxs link</a>',
    '<IMG """><SCRIPT>alert("XSS")</SCRIPT>"\\>',
    "<IMG SRC=javascript:alert(String.fromCharCode(88,83,83))>",
    "<IMG SRC=# onmouseover=\"alert('xxs')\">",
    "<IMG SRC= onmouseover=\"alert('xxs')\">",
    '<IMG SRC=/ onerror="alert(String.fromCharCode(88,83,83))"></img>',
    "<IMG "
    "SRC=&#106;&#97;&#118;&#97;&#115;&#99;&#114;&#105;&#112;&#116;&#58;&#97;&#108;&#101;&#114;&#116;&#40;&#39;&#88;&#83;&#83;&#39;&#41;>",
    "<IMG SRC=\"jav\tascript:alert('XSS');\">",
    "<IMG SRC=\"jav&#x09;ascript:alert('XSS');\">",
    "<IMG SRC=\" &#14; javascript:alert('XSS');\">",
    '<SCRIPT/XSS SRC="http://xss.example/xss.js"></SCRIPT>',
    '<BODY onload!#$%&()*~+-_.,:;?@[/|\\]^`=alert("XSS")>',
    '<<SCRIPT>alert("XSS");//\\<</SCRIPT>',
    "<SCRIPT SRC=http://xss.example/xss.js?< B >",
    "<IMG SRC=\"`<javascript:alert>`('XSS')\"",
    "</script><script>alert('XSS');</script>",
    '</TITLE><SCRIPT>alert("XSS");</SCRIPT>',
    '<INPUT TYPE="IMAGE" SRC="javascript:alert(\'XSS\');">',
    "<BODY BACKGROUND=\"javascript:alert('XSS')\">",
    "<svg/onload=alert('XSS')>",
    "<BGSOUND SRC=\"javascript:alert('XSS');\">",
    '<LINK REL="stylesheet" HREF="javascript:alert(\'XSS\');">',
    "<STYLE>@import'http://xss.example/xss.css';</STYLE>",
    '<META HTTP-EQUIV="refresh" CONTENT="0;url=javascript:alert(\'XSS\');">',
    '<META HTTP-EQUIV="refresh" CONTENT="0;url=data:text/html '
    'base64,PHNjcmlwdD5hbGVydCgnWFNTJyk8L3NjcmlwdD4K">',
    '<IFRAME SRC=# onmouseover="alert(document.cookie)"></IFRAME>',
    "<DIV STYLE=\"width: expression(alert('XSS'));\">",
    "<BASE HREF=\"javascript:alert('XSS');//\">",
    '<OBJECT TYPE="text/x-scriptlet" DATA="http://xss.example/scriptlet.html"></OBJECT>',
    '<EMBED SRC="data:image/svg+xml;base64,PHN2Zz4=" type="image/svg+xml" '
    'AllowScriptAccess="always"></EMBED>',
    "<!--[if gte IE 4]><SCRIPT>alert('XSS');</SCRIPT><![endif]-->",
    "'';!--\"<XSS>=&{()}",
    "\\\";alert('XSS');//",
    "<details open ontoggle=alert(1)>",
    "[xss](javascript:alert(1))",
    "![xss](javascript:alert(1))",
    '![xss" onerror="alert(1)](drawing:x" onerror="alert(1))',
    "[xss](data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==)",
    "<javascript:alert(1)>",
    "[xss]: javascript:alert(1)",
    "{{ 7|add:7 }}{% debug %}",
)

# Every place where somebody's words can stand. « stands for the vector, with no line end in it.
PLACES = """\
---
title: {quoted}
level: {quoted}
interval: {quoted}
variants:
  ring: [eyelet, {quoted}]
given: [{quoted}]
leaves: [{quoted}]
off: [{quoted}]
follows: {quoted}
---
«

!!! danger "«"
    hazard: «
    harm: «
    avoid: «
    «

## «

«

### « {{#the-step}}
critical: «
needs: «
makes: «
ends: «
opens: «
takes off: «
scraps: «
fits: «
fits new: «
uses: «
tool: «
torque: «
measure: «
check: « | «
after: «
only if: ring = eyelet

!!! notice "«"
    «

«

- «

> «

| « | x |
|---|---|
| « | x |

`«`

```
«
```

«
: «

[[«]] ![«](drawing:«) [«](«) <«>

    «
"""

TAGS = {
    "a",
    "aside",
    "b",
    "blockquote",
    "body",
    "br",
    "button",
    "caption",
    "code",
    "dd",
    "details",
    "div",
    "dl",
    "dt",
    "em",
    "fieldset",
    "footer",
    "form",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "head",
    "header",
    "hr",
    "html",
    "input",
    "label",
    "legend",
    "li",
    "link",
    "main",
    "meta",
    "nav",
    "ol",
    "option",
    "p",
    "path",
    "pre",
    "script",
    "section",
    "select",
    "small",
    "span",
    "strong",
    "summary",
    "svg",
    "symbol",
    "table",
    "tbody",
    "td",
    "template",
    "textarea",
    "th",
    "thead",
    "title",
    "tr",
    "ul",
    "use",
}
ADDRESSES = {
    "href",
    "src",
    "action",
    "formaction",
    "hx-post",
    "hx-get",
    "data",
    "xlink:href",
    "poster",
    "background",
}


class Page(HTMLParser):
    """Every tag with its attributes, and what stands between the script tags."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.tags = []
        self.comments = []
        self.scripts = []
        self._inside = ""
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, attrs))
        self._inside = tag

    def handle_data(self, data):
        if self._inside == "script" and data.strip():
            self.scripts.append(data)
        self._inside = ""

    def handle_comment(self, data):
        self.comments.append(data)


def harmless(html, where):
    page = Page(html)
    for tag, attrs in page.tags:
        assert tag in TAGS, f"<{tag}> {where}"
        for name, value in attrs:
            assert not name.startswith("on"), f"{name} in <{tag}> {where}"
            assert name not in ("style", "srcdoc", "hx-on", "hx-vals"), f"{name} in <{tag}> {where}"
            if name in ADDRESSES:
                assert scheme(value) in ("", "http", "https", "mailto"), (
                    f"{name}={value} in <{tag}> {where}"
                )
        if tag in ("script", "link"):
            found = dict(attrs).get("src", dict(attrs).get("href", ""))
            assert found.startswith("/static/") or found == reverse("training:manifest"), (
                f"<{tag}> {where}"
            )
        if tag == "meta":
            assert "http-equiv" not in dict(attrs), where
    assert page.scripts == [], where
    assert page.comments == [], where


HEADER, BODY = PLACES.partition("\n---\n")[::2]
GROUPS = tuple(VECTORS[start::4] for start in range(4))


def written(group):
    """A write-up with every vector of a group in every place of its text, and the first one in
    every place of its header.
    """
    quoted = '"' + re.sub(r'([\\"])', r"\\\1", group[0]).replace("\t", "\\t") + '"'
    steps = [
        BODY.replace("{{#the-step}}", f"{{#step-{number}}}").replace("«", vector)
        for number, vector in enumerate(group)
    ]
    return "\n".join([HEADER.format(quoted=quoted), "---", *steps])


@pytest.fixture
def writer(client, senior):
    client.force_login(senior)
    return client


@pytest.mark.parametrize("group", GROUPS, ids=range(len(GROUPS)))
def test_a_published_vector_is_inert_in_every_place(writer, group):
    words = " ".join(group)
    revision = RevisionFactory(text=written(group), reason=words, writeup__title=words[:150])
    address = [revision.writeup.name, 1]
    harmless(writer.get(reverse("procedures:edit", args=address)).text, "on the desk")
    page = writer.get(reverse("procedures:revision", args=address), {"ring": "eyelet"})
    harmless(page.text, "on the revision's page")
    assert [step.key for phase in page.context["study"].phases for step in phase.steps] == [
        f"step-{number}" for number in range(len(group))
    ]
    sent = {
        "text": revision.text + words,
        "reason": words[:2000],
        "asks": "nothing",
        "seen": revision.changed_at.isoformat(),
        "desk": "one",
        f"fork-{group[0]}": words,
    }
    harmless(writer.post(reverse("procedures:check", args=address), sent).text, "in the check")
    clash = writer.post(
        reverse("procedures:edit", args=address),
        sent | {"seen": "2020-01-01T00:00:00+00:00", "save": "yes"},
    )
    assert "texts side by side" in clash.text
    harmless(clash.text, "in the clash")
    old = "".join(
        f"{number}. {vector}\n\n{vector}\n\nWARNING: {vector}\n\n"
        for number, vector in enumerate(group, 1)
    )
    harmless(
        writer.post(reverse("procedures:old-text"), {"text": old, "title": words[:150]}).text,
        "from an old procedure",
    )


def test_the_list_of_what_a_page_may_have_catches_what_it_should():
    for bad in (
        "<script>x</script>",
        "<p onclick=x>",
        "<a href='javascript:x'>",
        "<iframe>",
        "<a href='data:text/html,x'>",
        "<p style='x'>",
        "<a href=' java\tscript:x'>",
        "<!-- x -->",
    ):
        with pytest.raises(AssertionError):
            harmless(bad, "")
