"""Does who may stand on one screen, and is no list of the demo shop endless?"""

import pytest

from tests.journeys.eyes import AXE, faults_of
from tests.journeys.test_everyone import set_width, stop

MONDAY, SUNDAY = "2026-11-30", "2026-11-29"
LISTS = (
    "/who-may/",
    "/people/",
    "/people/bo/record/",
    "/record/",
    "/levels/",
    "/questions/",
    "/questions/air-spring-service/drafts/",
    "/book/",
    "/voids/",
    "/voids/of/bo/",
    "/recall/?person=bo",
    "/rota/",
    "/write-ups/",
    "/write-ups/drawings/",
    "/line/bo/",
    "/quizzes/air-and-sag/statistics/",
    "/signers/",
)
FORMS = ("/people/new/", "/people/bo/", "/levels/new/", "/rota/bo/", "/quizzes/air-spring/")
MOST = 3_000  # how high a list may be on a desk, in pixels
TARGET = 44  # how high what a finger meets is at least: WCAG 2.2, 2.5.5 (level AAA)

# A cell of who may takes the tap on the name of its level too: it is measured by itself.
SMALL = """least => [...document.querySelectorAll(
    "button, .button, input, select, textarea, nav a, summary:not(.answer > summary)")]
  .filter(e => e.type !== "hidden" && e.checkVisibility()).map(e => e.closest("label") || e)
  .filter(e => e.getBoundingClientRect().height < least).map(e => e.outerHTML)"""


@pytest.fixture
def shop(demo):
    return demo


def height_of(page):
    return page.evaluate("document.documentElement.scrollHeight")


def test_the_pages_of_the_demo_shop_have_an_end_and_who_may_stands_on_one_screen(shop, walk):
    """One journey, because the demo shop takes long to load."""
    walker = walk(shop["ada"], wide=True)
    lists_end_and_are_as_wide_as_their_screen_and_a_finger_meets_what_it_should(walker)
    walker.page.set_viewport_size({"width": 1440, "height": 1000})
    who_may_fits_and_is_pressed_open(walker)
    a_closed_day_says_so(walker)
    on_a_phone_each_cell_can_be_hit(walker)


def lists_end_and_are_as_wide_as_their_screen_and_a_finger_meets_what_it_should(walker):
    """1440 px at 200 % are 720 px: WCAG 2.2, 1.4.4 (level AA)."""
    high, wide, small = {}, {}, {}
    for path in (*LISTS, *FORMS):
        page = walker.go(path).page
        set_width(page, 1440)
        high[path] = height_of(page)
        set_width(page, 720)
        wide[path] = page.evaluate("document.documentElement.scrollWidth")
        set_width(page, 390)
        small[path] = page.evaluate(SMALL, TARGET)
    assert {path: height for path, height in high.items() if height > MOST} == {}
    assert wide == dict.fromkeys(wide, 720)
    assert {path: found for path, found in small.items() if found} == {}


def who_may_fits_and_is_pressed_open(walker):
    page = walker.go(f"/who-may/?on={MONDAY}").page
    people = page.locator("table.who-may tbody tr:not(.place)")
    assert people.count() >= 13
    assert page.locator("table.who-may thead th").count() >= 7
    assert height_of(page) <= 1000
    summary = page.locator("summary", has_text="Ivy Wood, Air-spring service")
    summary.focus()
    assert stop(page)[2], "the focus on a cell cannot be seen"
    page.keyboard.press("Enter")
    says = page.locator("details[open] .says")
    assert "May not do this. Not signed off for Air-spring service yet." in says.inner_text()
    box = says.bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 1440
    page.evaluate(AXE)
    assert faults_of(page) == []
    page.keyboard.press("Tab")
    assert "Reasons and record" in stop(page)[1]
    # those at work first, in each workshop
    in_first = page.locator("table.who-may tbody").first.locator("tr:not(.place)")
    off = [("off" in (row.get_attribute("class") or "")) for row in in_first.all()]
    assert off == sorted(off)
    assert set(off) == {True, False}


def a_closed_day_says_so(walker):
    walker.go(f"/who-may/?on={SUNDAY}").sees("The shop is closed")
    walker.click("Show the next open day, Monday 30 Nov").sees("Monday, 30 Nov 2026")


def on_a_phone_each_cell_can_be_hit(walker):
    walker.page.set_viewport_size({"width": 390, "height": 800})
    page = walker.go(f"/who-may/?on={MONDAY}").page
    cell = page.locator("table.who-may td", has_text="Ivy Wood, Air-spring service")
    assert cell.bounding_box()["height"] >= TARGET
    assert not page.locator("form .more").get_attribute("open")
    assert height_of(walker.go(f"/who-may/?on={MONDAY}&level=air-spring").page) < MOST
