"""Do the eyes that look over every page find what is wrong there, though they ask nothing twice?"""

import threading

import pytest

from tests.journeys.conftest import until_the_server_is_idle
from tests.journeys.eyes import AXE, EYES, faults_of, faults_of_colour, faults_of_screen

# Words as the page has them; faint ones; and those of the page on a dark ground that is their own,
# on one that is a neighbour's, and in a colour that stays the same by night.
PLANTED = """() => {
    const put = (id, style, ground = {}) => {
        const part = document.createElement("div"), words = document.createElement("p");
        Object.assign(part.style, ground);
        Object.assign(words.style, style);
        Object.assign(words, { id, textContent: id && "words" });
        part.append(words);
        document.querySelector("main").append(part);
    };
    put("alike", {});
    put("faint", { color: "#777", background: "#888" });
    put("on-dark", {}, { background: "#444" });
    put("by-day", { color: "#111" });
    put("", {}, { background: "#444", height: "6rem" });
    put("over-dark", { marginTop: "-4rem" });
}"""
# On a wide screen only: a picture without a text alternative, and buttons that are small and close;
# on a small one what is wider than it.
ON_A_WIDE_SCREEN = """() => {
    const sheet = new CSSStyleSheet(), main = document.querySelector("main");
    sheet.replaceSync(`main > img { display: none } main > button { min-height: 44px }
        main > button { width: 500px }
        @media (min-width: 60rem) { main > img { display: %s }
            main > button { min-height: 0; height: 5px; width: 5px; padding: 0 } }`);
    document.adoptedStyleSheets = [sheet];
    main.append(document.createElement("img"));
    for (const name of "ab") {
        const button = document.createElement("button");
        button.ariaLabel = name;
        main.append(button);
    }
}"""


def test_a_fault_is_found(walk):
    """A picture without a text alternative fails WCAG 1.1.1, grey on grey 1.4.3."""
    page = walk().go("/sign-in/").page
    page.evaluate(AXE)
    page.evaluate("""() => {
        const image = document.createElement("img"), faint = document.createElement("p");
        faint.textContent = "faint"; faint.style.color = "#777"; faint.style.background = "#888";
        document.querySelector("main").append(image, faint);
    }""")
    assert {fault for fault, _ in faults_of(page)} == {"image-alt", "color-contrast"}


def test_a_text_is_passed_over_only_where_one_that_is_drawn_alike_was_right(walk):
    walker, known = walk(), set()
    walker.context.add_init_script(EYES)
    page = walker.go("/sign-in/").page
    assert faults_of_colour(page, known) == []
    assert known
    found = {scheme: [] for scheme in ("light", "dark")}
    for scheme in ("light", "dark", "light", "dark"):
        page.emulate_media(color_scheme=scheme)
        walker.go("/sign-in/").page.evaluate(PLANTED)
        targets = [target for _, nodes in faults_of_colour(page, known) for (target,) in nodes]
        found[scheme].append(targets)
    assert found["light"] == [["#faint", "#on-dark", "#over-dark"]] * 2
    assert found["dark"] == [["#faint", "#by-day"]] * 2


def test_what_is_shown_or_small_or_too_wide_on_one_screen_is_found_there(walk):
    walker, known = walk(), set()
    walker.context.add_init_script(EYES)
    for display, faults in (("block", ["image-alt", "target-size"]), ("none", ["target-size"])):
        page = walker.go("/sign-in/").page
        page.set_viewport_size({"width": 360, "height": 800})
        page.evaluate(ON_A_WIDE_SCREEN % display)
        assert [fault for fault, _ in faults_of_screen(page, known)] == ["runs sideways"]
        page.set_viewport_size({"width": 1440, "height": 900})
        assert [fault for fault, _ in faults_of_screen(page, known)] == faults


def test_beside_the_page_the_same_part_is_asked_about_once_and_what_differs_is_found(walk):
    """And so is, beside a head that is known, what is wrong in the page, with the
    page as a whole, and with the same head on another screen.
    """
    walker, known, found = walk(), set(), []
    walker.context.add_init_script(EYES)
    for width, act in (
        (360, "head.append(image)"),
        (360, "head.append(image)"),
        (1440, "head.append(image)"),
        (360, "head.append(image, new Image())"),
        (360, "head.append(image); main.append(new Image())"),
        (360, "head.append(image); document.title = ''"),
        (360, "head.append(faint)"),
        (360, "head.append(faint)"),
    ):
        page = walker.go("/sign-in/").page
        page.set_viewport_size({"width": width, "height": 800})
        page.evaluate(f"""() => {{
            const [head, main] = document.querySelectorAll("header, main"), image = new Image();
            const faint = document.createElement("p");
            Object.assign(faint.style, {{ color: "#777", background: "#888" }});
            faint.textContent = "faint";
            {act};
        }}""")
        found.append([fault for fault, _ in faults_of_screen(page, known)])
    image, faint = ["image-alt"], ["color-contrast"]
    assert found == [image, [], image, image, image, ["document-title"], faint, faint]


FETCHED = "fetch({0!r})", "new Image().src = {0!r}", "navigator.sendBeacon({0!r})"


def test_a_walker_notes_each_failed_answer_and_each_request_to_elsewhere(walk):
    """The page itself, and what it fetches, shows or sends off; what leads elsewhere from a page
    without the rules of the site, by which it would not be asked for.
    """
    walker = walk().go("/nowhere/", expect=404)
    assert walker.complaints == []
    walker.expected.clear()
    page = walker.go("/sign-in/").page
    for act in (*FETCHED, "location = {0!r}"):
        with page.expect_event("console"):
            page.evaluate(f"() => {{ {act.format('/nowhere/')} }}")
    assert len([said for said in walker.complaints if "404" in said and "/nowhere/" in said]) == 4
    page.goto("about:blank")
    for act in FETCHED:
        with page.expect_event("requestfailed"):
            page.evaluate(f"() => {{ {act.format('http://example.com/')} }}")
    page.close()
    assert walker.complaints.count("a request left the site: http://example.com/") == 3
    walker.complaints.clear()


def test_a_journey_ends_when_no_request_is_under_way_nor_about_to_begin(monkeypatch):
    """A thread stands among the others before it has begun (Python's `threading.enumerate`)."""
    request = threading.Thread(name="Thread-1 (process_request_thread)")
    others = iter([[request], [request], []])
    monkeypatch.setattr(threading, "enumerate", lambda: next(others))
    until_the_server_is_idle()
    assert next(others, None) is None
    monkeypatch.setattr(threading, "enumerate", lambda: [request])
    with pytest.raises(TimeoutError):
        until_the_server_is_idle(tries=2)
