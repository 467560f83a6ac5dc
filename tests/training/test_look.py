"""Can everybody read the pages, and does colour speak of safety only?"""

import re
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace

import pytest
from django import forms
from django.template import Context, Template
from django.template.loader import render_to_string

import training
from tests.for_each import for_each

SITE = Path(training.__file__).parent / "site"
STYLES = SITE / "static" / "benchright"
COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
SHEETS = {
    name: COMMENT.sub("", (STYLES / f"{name}.css").read_text(encoding="utf-8"))
    for name in ("look", "answers", "who-may", "cover", "paper")
}
LOOK = SHEETS["look"]
RULES = "".join(SHEETS.values())
TEMPLATES = sorted((SITE / "templates").rglob("*.html"))
HEX = r"#[0-9a-f]{3,8}\b"


def tokens(scheme: str) -> dict[str, str]:
    """The colour tokens by day, by night or on paper; a later scheme lies over the daylight one."""
    found = {}
    for name, day, night in re.findall(rf"--([\w-]+):\s*light-dark\(({HEX}),\s*({HEX})\)", RULES):
        found[name] = night if scheme == "dark" else day
    on_screen, _, on_paper = RULES.partition("@media print")
    found |= dict(re.findall(rf"--([\w-]+):\s*({HEX})", on_screen))
    if scheme == "paper":
        found |= dict(re.findall(rf"--([\w-]+):\s*({HEX})", on_paper))
    return found


def channels(colour: str) -> list[float]:
    digits = colour.lstrip("#")
    if len(digits) == 3:
        digits = "".join(2 * digit for digit in digits)
    return [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]


def luminance(parts: list[float]) -> float:
    """Relative luminance, WCAG 2.2, section 6 (terms); the threshold is the one of its 2021
    correction.
    """
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: list[float], other: list[float]) -> float:
    """Contrast ratio, WCAG 2.2, section 6 (terms)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000", "#fff", 21.0),  # WCAG 2.2, "contrast ratio": the range is 1 to 21
        ("#808080", "#808080", 1.0),  # the same
        # the well-known grey that just fails 4.5:1 on white (from memory)
        ("#777777", "#ffffff", 4.48),
        ("#767676", "#ffffff", 4.54),  # and its neighbour that just passes (from memory)
    ],
)
def test_the_formula_gives_known_ratios(one, other, ratio):
    assert contrast(channels(one), channels(other)) == pytest.approx(ratio, abs=0.005)


# ISO 3864-2:2016 severity panels: RAL 3001 red, RAL 2010 orange, RAL 1003 yellow; ISO mandatory
# blue RAL 5005 for the ANSI Z535.6 word NOTICE; screen values and letters as in the published table
# of these RAL colours.
@pytest.mark.parametrize(
    ("word", "panel", "letters"),
    [
        ("danger", "#9b2423", "#ffffff"),
        ("warning", "#d05d29", "#000000"),
        ("caution", "#f9a800", "#000000"),
        ("notice", "#005387", "#ffffff"),
    ],
)
@pytest.mark.parametrize("scheme", ["light", "dark", "paper"])
def test_signal_words_have_the_published_colours(word, panel, letters, scheme):
    found = tokens(scheme)
    assert (found[word], found[f"on-{word}"]) == (panel, letters)
    assert contrast(channels(panel), channels(letters)) >= 4.5  # WCAG 2.2, 1.4.3
    used = f".safety.{word} {{ --signal: var(--{word}); --on-signal: var(--on-{word}) }}"
    assert used in RULES


@pytest.mark.parametrize("scheme", ["light", "dark", "paper"])
@pytest.mark.parametrize("ground", ["paper", "sheet"])
@pytest.mark.parametrize("letters", ["ink", "faint", "accent"])
def test_text_can_be_read(scheme, ground, letters):
    found = tokens(scheme)
    assert contrast(channels(found[letters]), channels(found[ground])) >= 4.5  # WCAG 2.2, 1.4.3


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_can_be_read_in_the_row_under_the_pointer(scheme):
    share = (
        int(re.search(r"color-mix\(in srgb, var\(--line\) (\d+)%, transparent\)", RULES)[1]) / 100
    )
    found = tokens(scheme)
    pairs = zip(channels(found["line"]), channels(found["sheet"]), strict=True)
    ground = [share * line + (1 - share) * sheet for line, sheet in pairs]
    for letters in ("ink", "faint"):
        assert contrast(channels(found[letters]), ground) >= 4.5  # WCAG 2.2, 1.4.3


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_edges_of_fields_and_the_focus_ring_can_be_seen(scheme):
    found = tokens(scheme)
    for edge in ("faint", "ink", "accent"):
        for ground in ("paper", "sheet"):
            assert contrast(channels(found[edge]), channels(found[ground])) >= 3  # WCAG 2.2, 1.4.11


def test_the_frame_of_a_panel_can_be_seen_by_night():
    """The blue of NOTICE is too near to the sheet by night, so a line is drawn around the panel."""
    found = tokens("dark")
    frames = {word: channels(found[word]) for word in ("danger", "warning", "caution", "notice")}
    sheet = channels(found["sheet"])
    assert min(contrast(frame, sheet) for frame in frames.values()) < 3  # WCAG 2.2, 1.4.11
    dark = re.search(r"prefers-color-scheme: dark\) \{ \.safety \{ outline: ([^}]*) \}", LOOK)
    assert dark[1] == "var(--hair) solid var(--faint)"
    assert contrast(channels(found["faint"]), sheet) >= 3


def test_there_is_no_colour_but_the_tokens():
    without_tokens = re.sub(r"--[\w-]+:[^;}]*", "", RULES)
    assert not re.findall(HEX, without_tokens)
    assert not re.search(r"\b(rgb|hsl|hwb|lab|lch|oklab|oklch)a?\(", RULES)
    named = r":[^;{}]*\b(red|orange|amber|yellow|green|blue|purple|grey|gray|black|white)\b"
    assert not re.search(named, RULES)
    known = {"paper", "sheet", "ink", "faint", "line", "accent"}
    for word in ("danger", "warning", "caution", "notice"):
        known |= {word, f"on-{word}"}
    assert set(tokens("light")) == known


def test_the_stylesheet_is_small_and_fetches_nothing():
    assert len(RULES.encode()) < 40_000
    assert not re.search(r"@import|@font-face|url\(", RULES)


SCREEN = re.sub(
    r":root \{[^}]*\}|@media [^{]*\{",
    "",
    "".join(text for name, text in SHEETS.items() if name != "paper"),
)
SPACE = re.compile(r"(?:margin|padding|gap|column-gap)(?:-\w+)*: ([^;}]+)")
TYPE = re.compile(r"\b(?:font-size|font): ([^;}]+)")
# relative to the letters around it: code beside text, names in the cells of a drawing, "1 of 2" in
# a gap of the board
BESIDE_TEXT = {".92em", ".75em", "500 .62em/1 var(--mono)", "inherit"}
BESIDE_MARK = {".5em", "2.6em"}  # the room of a block of standing, which is as high as its letters


def test_no_size_stands_loose():
    """The scale of the look is a handful of properties; a width may follow the letters (em, ch)."""
    assert re.findall(r"[\d.]+(?:rem|px|pt|mm)\b", SCREEN) == []


def test_spaces_come_from_the_one_scale():
    step = (
        r"var\(--(?:s[1-6]|edge|wide|hair|stroke)\)|calc\(|\)|-1 \*|2 \*|\+|\bauto\b|(?<![\d.])0\b"
    )
    loose = {bit for space in SPACE.findall(SCREEN) for bit in re.sub(step, " ", space).split()}
    assert loose == BESIDE_MARK
    assert len(SPACE.findall(SCREEN)) > 60


def test_there_are_four_sizes_of_type():
    scale = dict(re.findall(r"--(small|text|large|title): ([\d.]+)rem", LOOK))
    assert len(scale) == 4
    assert float(scale["text"]) == 1  # what the reader has set, 16 px where nothing is set
    size = re.compile(
        r"(?:\w+ )?var\(--(?:small|text|large|title)\)(?:/[\d.]+ var\(--(?:font|mono)\))?"
    )
    loose = {said for said in TYPE.findall(SCREEN) if not size.fullmatch(said.strip())}
    assert {said.strip() for said in loose} == BESIDE_TEXT


def test_there_are_two_widths_of_page():
    assert len(re.findall(r"--(?:wide|narrow): [\d.]+rem", LOOK)) == 2
    widths = re.findall(r"(?:\.sheet[\w.]*|main) \{[^}]*max-inline-size: ([^;}]+)", LOOK)
    assert all(re.search(r"var\(--(wide|narrow)\)|none", width) for width in widths)


def test_every_part_of_the_look_is_shown_to_developers_and_to_nobody_else(as_, shop, settings):
    browser = as_(shop.trainee)
    assert browser.get("/components/").status_code == 404
    settings.DEBUG = True
    page = Page(browser.get("/components/").text)
    shown = {name for _, attrs in page.tags for name in attrs.get("class", "").split()}
    parts = {
        "sheet",
        "block",
        "grid",
        "terms",
        "group",
        "note",
        "standing",
        "chip",
        "empty",
        "chart",
    }
    assert parts | {"wrong", "optional", "help", "primary", "quiet", "entries", "reasons"} <= shown


@for_each(TEMPLATES)
def test_templates_keep_to_the_content_security_policy(template):
    # CSP Level 3, style-src and script-src without 'unsafe-inline': no inline style, script or
    # handler runs.
    text = template.read_text(encoding="utf-8")
    assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)
    assert text.count("\n") < 120


class Page(HTMLParser):
    """The elements of a piece of HTML, in order, each with its attributes."""

    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def all(self, tag):
        return [attrs for name, attrs in self.tags if name == tag]

    def ids(self):
        return [attrs["id"] for _, attrs in self.tags if "id" in attrs]


def caution(word):
    says = {
        "title": "Air",
        "hazard": "Air stays in.",
        "harm": "It can blind.",
        "avoid": "Let it out.",
        "html": "",
    }
    return SimpleNamespace(word=word, **says)


@pytest.mark.parametrize(
    ("word", "symbol"), [("danger", True), ("warning", True), ("caution", True), ("notice", False)]
)
def test_a_panel_has_the_symbol_left_of_the_word_but_for_notice(word, symbol):
    # ANSI Z535.4, 4.14.1 to 4.14.4: which words carry the symbol; ISO 3864-2: symbol before word;
    # WCAG 2.2, 1.1.1.
    text = render_to_string("pieces/_caution.html", {"caution": caution(word)})
    assert f"safety {word}" in text
    assert (0 < text.find('aria-label="Safety alert"') < text.find(word.upper())) is symbol
    assert ("Safety alert" in text) is symbol
    # ANSI Z535.6: hazard, consequence, avoidance
    assert text.index("Air stays in.") < text.index("It can blind.") < text.index("Let it out.")


def step(**changed):
    plain = {
        "number": "4",
        "id": "let-air-out",
        "title": "Let the air out",
        "critical": "",
        "hold": False,
    }
    plain |= {"cautions": (), "html": "Press the valve core.", "fields": (), "struck": False}
    return SimpleNamespace(**(plain | changed))


def test_cautions_stand_before_the_text_of_their_step():
    # IEC/IEEE 82079-1 and ANSI Z535.6, embedded messages: before the action, never after it.
    cautions = (caution("warning"), caution("caution"))
    made = step(
        cautions=cautions, fields=(("tool", "shock pump"),), critical="it can blind", hold=True
    )
    text = render_to_string("pieces/_step.html", {"step": made})
    order = ["WARNING", "CAUTION", "Press the valve core.", "shock pump", "Hold point"]
    assert sorted(order, key=text.index) == order
    assert text.count("<section") == text.count("</section>") == 1
    assert "it can blind" in text


def test_a_step_for_another_fork_says_so_in_words_and_warns_of_nothing():
    made = step(struck=True, cautions=(caution("danger"),), hold=True)
    text = render_to_string("pieces/_step.html", {"step": made})
    assert "not for this fork" in text
    assert "DANGER" not in text
    assert "Hold point" not in text


@pytest.mark.parametrize(
    ("standing", "word"),
    [("alone", "alone"), ("watched", "supervised"), ("no", "not yet"), ("stopped", "stopped")],
)
def test_standing_is_a_block_and_a_word(standing, word):
    # WCAG 2.2, 1.4.1: never by colour (here: by the drawing) alone.
    text = render_to_string(
        "pieces/_standing.html", {"standing": standing, "small": "until 14 Mar 2028"}
    )
    assert f"</svg>{word}<small>until 14 Mar 2028</small>" in text
    (mark,) = Page(text).all("use")
    assert mark["href"].removeprefix("#") in Page(render_to_string("pieces/_marks.html")).ids()


class JobForm(forms.Form):
    fork = forms.CharField(help_text="As it stands on the job card.")
    how = forms.ChoiceField(
        choices=[("1", "Unaided")], widget=forms.RadioSelect, help_text="One answer."
    )
    tools = forms.MultipleChoiceField(
        choices=[("1", "Pliers")], widget=forms.CheckboxSelectMultiple, required=False
    )
    mine = forms.BooleanField(help_text="From the first step to the last.")

    def clean(self):
        raise forms.ValidationError("You cannot sign for yourself. Ask somebody else.")


@pytest.fixture(params=["{{ form|crispy }}", "{% crispy form %}"])
def wrong_form(request):
    made = Template("{% load crispy_forms_tags %}" + request.param)
    return made.render(Context({"form": JobForm({"fork": "", "how": "9"}), "csrf_token": "x"}))


def test_a_wrong_form_says_where_and_what_to_those_who_listen(wrong_form):
    page = Page(wrong_form)
    ids = page.ids()
    assert len(ids) == len(set(ids))  # HTML: an id stands once
    described = {
        owner.get("name", owner.get("id")): owner["aria-describedby"].split()
        for tag in ("input", "fieldset")
        for owner in page.all(tag)
        if "aria-describedby" in owner
    }
    # WAI-ARIA 1.2, aria-describedby; WCAG 2.2, 3.3.1: the fault is described in text
    assert described == {
        "fork": ["id_fork_helptext", "id_fork_error"],
        "div_id_how": ["id_how_helptext", "id_how_error"],
        "mine": ["id_mine_helptext", "id_mine_error"],
    }
    assert {name for names in described.values() for name in names} <= set(ids)
    invalid = {field["name"] for field in page.all("input") if field.get("aria-invalid") == "true"}
    assert invalid == {"fork", "how", "mine"}
    assert wrong_form.count("Wrong: ") == 4
    assert "Wrong: You cannot sign for yourself. Ask somebody else." in wrong_form


def test_each_field_has_its_label_and_each_group_its_legend(wrong_form):
    page = Page(wrong_form)
    fields = {field["id"] for field in page.all("input") if field.get("type") != "hidden"}
    assert fields == {label["for"] for label in page.all("label")}  # WCAG 2.2, 1.3.1 and 3.3.2
    assert len(page.all("fieldset")) == len(page.all("legend")) == 2


@pytest.mark.parametrize("demo", [True, False])
def test_every_page_of_a_demo_shop_warns(demo):
    text = render_to_string("base.html", {"demo_shop": demo})
    assert ("Demo values. Do not use on a real fork or shock." in text) is demo
    assert "The maker’s manual, local rules and licensed practice come first." in text


def test_the_page_of_a_fault_needs_nothing_from_the_view():
    page = Page(render_to_string("500.html"))
    assert [one["lang"] for one in page.all("html")] == ["en-GB"]
    assert len(page.all("h1")) == len(page.all("main")) == 1
    assert not page.all("nav")
    assert not page.all("form")


def test_the_way_through_the_site_says_where_one_is():
    nav = (("Who may", "/who/", True), ("Cover", "/cover/", False))
    page = Page(render_to_string("base.html", {"nav": nav, "book_head": "9f3c 41ab"}))
    current = {link["href"]: link.get("aria-current") for link in page.all("a")}
    assert (current["/who/"], current["/cover/"]) == ("page", None)
    skip = page.all("a")[0]
    assert skip["href"].removeprefix("#") in page.ids()  # WCAG 2.2, 2.4.1
