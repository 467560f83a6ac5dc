"""Is every page usable by everyone: no fault that axe can find, nothing sideways, all by
keyboard?
"""

import re
from pathlib import Path
from urllib.parse import urlsplit
from zlib import crc32

import pytest
from django.urls import reverse

from procedures.actions.studying import keep_fork
from procedures.actions.writeups import bring_revision
from tests.journeys.eyes import AXE, EYES, faults_of, faults_of_colour, faults_of_screen
from tests.journeys.test_nothing_lost import tabs_to
from tests.journeys.test_to_alone import PLACES
from tests.pages import NO_PAGE, ROUTES, TRADES
from tests.procedures.factories import TEXT
from tests.training.shop import NOW, TODAY, busy_shop, make_ready
from tests.walks import enter


def pages_of(shop, trade):
    """The addresses of every page that this kind of person sees, with the chosen forks where a page
    asks for one.
    """
    for route in ROUTES:
        if route.method == "get" and route.status(trade) == 200 and route.name not in NO_PAGE:
            yield route.name, reverse(route.name, args=[shop.args[arg] for arg in route.args])
    yield "study-prong", "/study/air-spring-service/?ring=prong"
    yield "study-struck", "/study/air-spring-service/?ring=prong&_all=yes"
    if trade == "mechanic":
        yield "bench-print", "/study/air-spring-service/print/"
    if trade == "senior":
        yield (
            "check-sheet",
            "/who-may/air-spring/tilda/observe/?writeup=air-spring-service&v-ring=prong",
        )
        yield "book-checked", "/book/?check=yes"
    if trade == "trainee":
        for place in range(2, PLACES + 1):
            yield (
                f"question-{place}",
                reverse("quizzes:question", args=[shop.args["open_sitting"], place]),
            )


# what differs each time a form is shown
TOKEN = re.compile(r'((?:csrfmiddlewaretoken|mark)" value=")[^"]+')
MAIN = re.compile(r"<main.*</main>", re.DOTALL)


def sideways(page, _known):
    """Whether it runs sideways."""
    is_wider = page.evaluate("document.documentElement.scrollWidth > innerWidth")
    return [("runs sideways",)] if is_wider else []


# How a page is looked at, in this order, and the next one in the other. 320 and 720 px are what is
# left of a screen of 1280 at 400 % (WCAG 2.2, 1.4.10), and of one of 1440 at 200 % (1.4.4). By
# night only the colours can differ.
WAY = (
    (360, "light", "phone", faults_of_screen),
    (320, "light", "four times as large", sideways),
    (720, "light", "twice as large", sideways),
    (1440, "light", "wide", faults_of_screen),
    (1440, "dark", "night", faults_of_colour),
)


@pytest.mark.parametrize("shop", [busy_shop], ids=["busy"], indirect=True)
@pytest.mark.parametrize("half", [0, 1])
def test_axe_finds_nothing_and_nothing_runs_sideways(shop, walk, given, request, half):
    """Every page for every kind of person, on a phone and on a wide screen, by day and by night;
    each half of the pages in a test of its own. Where two kinds of people see one and the same
    page, it is looked at once; the head of the site is looked at on the first page of each. The
    browser gets the page that was looked at before.
    """
    keep_fork(revision=shop.revision, person=shop.mechanic, chosen={"ring": "prong"})
    found, seen, known, pages, way = [], set(), set(), 0, WAY[::-1]
    for trade in TRADES:
        walker, client, is_first = walk(getattr(shop, trade)), enter(shop, trade), True
        client.defaults["HTTP_HOST"], shown = urlsplit(walker.url).netloc, "light"
        walker.context.add_init_script(EYES)
        for name, path in pages_of(shop, trade):
            if crc32(name.encode()) % 2 != half:
                continue
            answer = client.get(path)
            main = TOKEN.sub(r"\1", MAIN.search(answer.content.decode())[0])
            if main in seen and not is_first and not request.config.getoption("--shots"):
                continue
            seen.add(main)
            pages, is_first, given[path] = pages + 1, False, answer
            page, where = walker.go(path).page, f"{trade}, {name}"
            for width, scheme, screen, look in (way := way[::-1]):
                if page.viewport_size["width"] != width:
                    set_width(page, width)
                if shown != scheme:
                    page.emulate_media(color_scheme=(shown := scheme))
                keep_shot(request, page, f"{trade}-{name}-{screen}")
                found += [(where, screen, *fault) for fault in look(page, known)]
    assert found == []
    assert pages > len(TRADES)
    assert given == {}, "a page was made a second time"


def set_width(page, width):
    page.set_viewport_size({"width": width, "height": 800 if width < 1440 else 900})


def keep_shot(request, page, name):
    if folder := request.config.getoption("--shots"):
        Path(folder).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=Path(folder) / f"{name.replace(':', '-')}.png", full_page=True)


def test_the_sign_in_page_is_usable_by_everyone(walk):
    page = walk().go("/sign-in/").page
    page.evaluate(AXE)
    assert faults_of(page) == []


def test_the_parts_of_the_look_are_usable_by_everyone(shop, walk, settings):
    settings.DEBUG = True
    page = walk(shop.owner).go("/components/").page
    page.evaluate(AXE)
    assert faults_of(page) == []
    small = page.evaluate(
        """() => [...document.querySelectorAll("main :is(button, .button, input, select)")]
          .filter(e => e.type !== "hidden").map(e => e.closest("label") || e)
          .filter(e => e.getBoundingClientRect().height < 44).map(e => e.outerHTML)"""
    )
    assert small == []  # WCAG 2.2, 2.5.5 (level AAA): 44 by 44 CSS pixels


def stop(page):
    """Where the keyboard stands: the focused element's name, and whether its focus can be seen."""
    return page.evaluate(
        """() => { const e = document.activeElement; const box = e.closest('label') || e;
        const seen = [e, box].some(x => {
          const style = getComputedStyle(x);
          return style.outlineStyle !== 'none' && style.outlineWidth !== '0px'; });
        return [e.tagName, (e.innerText || e.value || e.name || '').trim().slice(0, 60), seen]; }"""
    )


def tab_to(page, wanted, limit=80):
    """Press Tab until the wanted text or name has the focus, which must be visible on the way."""
    for _ in range(limit):
        page.keyboard.press("Tab")
        tag, name, seen = stop(page)
        if tag not in ("BODY", "HTML"):
            assert seen, f"the focus on {tag} '{name}' cannot be seen"
        if re.search(wanted, name):
            return
    raise AssertionError(f"'{wanted}' was not reached by keyboard")


def test_signing_off_by_keyboard_alone(shop, walk):
    make_ready(shop, shop.trainee)
    walker = walk()
    page = walker.go("/sign-in/").page
    # the browser gives the focus a moment after the page is there
    page.wait_for_selector("[name=username]:focus")
    page.keyboard.type("sol")
    page.keyboard.press("Tab")
    page.keyboard.type("a fork in the stand")
    page.keyboard.press("Enter")
    page.wait_for_url(walker.url + "/")
    page.keyboard.press("Tab")
    assert stop(page)[1] == "Skip to the page"
    page.keyboard.press("Enter")
    tab_to(page, "^Sign off")
    page.keyboard.press("Enter")
    page.wait_for_url("**/sign-off/")
    page.locator("#main").focus()
    # the entries and the check code behind their folds, the limits, the note
    for part in ("summary", "summary", "summary", "[name=note]", "[name=password]"):
        assert tabs_to(page, part) <= 2
    page.keyboard.type("a fork in the stand")
    page.keyboard.press("Enter")
    walker.page.wait_for_url("**/who-may/air-spring/tilda/")
    walker.sees("Signed:")


def test_every_kind_of_question_by_keyboard_alone(shop, walk):
    walker = walk(shop.trainee).press(re.compile("Start the quiz"))
    page, start = walker.page, walker.path
    for place in range(1, PLACES + 1):
        walker.go(f"{start}{place}/")
        if page.locator("ol.order").count():
            tab_to(page, "^Down")
            page.keyboard.press("Enter")
            tab_to(page, "^Next")
        elif page.locator("main input[type=radio], main input[type=checkbox]").count():
            while page.evaluate(
                "!document.activeElement.matches('main input[type=radio], main "
                "input[type=checkbox]')"
            ):
                page.keyboard.press("Tab")
            page.keyboard.press("Space")
            tab_to(page, "^Next")
        else:
            while page.evaluate("!document.activeElement.matches('main input[type=text]')"):
                page.keyboard.press("Tab")
            page.keyboard.type("28 N·m")
            tab_to(page, "^Next")
        with page.expect_navigation():
            page.keyboard.press("Enter")
    walker.go(start).sees("4 of 4")


# Two lines to watch, each with a value to type.
TWO_LINES = TEXT.replace("tool: shock pump\n", "tool: shock pump\nmeasure: sag 20..30 %\n").replace(
    "opens: air chamber\n",
    "opens: air chamber\ncritical: it is under air\ntorque: cap 28 ± 2 N·m\n",
)


def test_observing_by_keyboard_alone_two_tabs_at_most_for_each_thing_asked(shop, walk):
    make_ready(shop, shop.trainee)
    bring_revision(
        writeup=shop.writeup,
        number=2,
        text=TWO_LINES.format(title="Air-spring service"),
        asks="nothing",
        released_on=TODAY,
        now=NOW,
    )
    walker = walk(shop.senior)
    page = walker.go(
        "/who-may/air-spring/tilda/observe/?writeup=air-spring-service&v-ring=prong"
    ).page
    page.locator("#main").focus()
    for line, value in ((1, "25 %"), (2, "28 N·m")):
        row = f"fieldset.check:nth-of-type({line})"
        assert tabs_to(page, f"{row} input[type=radio]") <= 2
        page.keyboard.press("Space")
        assert tabs_to(page, f"{row} input[type=text]") <= 2
        page.keyboard.type(value)
    tab_to(page, "^Record observation")
    page.keyboard.press("Enter")
    walker.sees("The observation of Tilda Trainee is recorded.")
