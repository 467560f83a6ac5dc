"""Can somebody lose an answer: without scripts, without network, in two windows? And how many tabs
does a question take by keyboard?
"""

import re

import pytest
from playwright.sync_api import expect

from quizzes.models import Answer

PLACES = 4


@pytest.fixture
def trainee(shop, walk):
    walker = walk(shop.trainee).press(re.compile("Start the quiz"))
    walker.start = walker.path
    return walker


def place_of(kind):
    return Answer.objects.get(version__kind=kind).place


def given(kind):
    return Answer.objects.get(version__kind=kind).given


def test_each_move_of_an_order_is_saved(trainee):
    page = trainee.go(f"{trainee.start}{place_of('put in order')}/").page
    said = page.locator("#kept-said")
    expect(said).to_be_empty()
    page.get_by_role("button", name=re.compile("^Down")).first.click()
    expect(said).to_have_text("Your choice is saved.")
    shown = [row.split("\n")[0] for row in page.locator("ol.order > li > span").all_inner_texts()]
    trainee.go(trainee.start).go(f"{trainee.start}{place_of('put in order')}/")
    assert [
        row.split("\n")[0] for row in page.locator("ol.order > li > span").all_inner_texts()
    ] == shown
    assert len(given("put in order")) == len(shown)


def test_without_scripts_every_button_saves(shop, walk):
    walker = walk(shop.trainee, scripts=False).press(re.compile("Start the quiz"))
    start = walker.path
    walker.go(f"{start}{place_of('choose one')}/").page.get_by_label("In one go.").check()
    walker.press("All questions").sees("1 of 4")
    assert given("choose one") == 1
    walker.go(f"{start}{place_of('put in order')}/")
    walker.page.get_by_role("button", name=re.compile("^Down")).first.click()
    walker.page.wait_for_url(re.compile("#order$"))
    assert given("put in order") is not None


def test_without_network_the_choice_stays_on_the_page_until_it_is_saved(trainee):
    page = trainee.go(f"{trainee.start}{place_of('choose one')}/").page
    complaints = len(trainee.complaints)
    trainee.context.set_offline(True)
    page.get_by_label("In one go.").check()
    expect(page.locator("#kept-said")).to_contain_text("Not saved")
    page.get_by_role("button", name="Next").click()
    expect(page.locator("#kept-said")).to_contain_text("Not saved")
    expect(page.get_by_label("In one go.")).to_be_checked()
    assert given("choose one") is None
    trainee.context.set_offline(False)
    expect(page.locator("#kept-said")).to_have_text("Your choice is saved.")
    assert given("choose one") == 1
    with page.expect_navigation():
        page.get_by_role("button", name="Next").click()
    del trainee.complaints[complaints:]  # the browser says of each request that it got no answer


def test_an_older_window_does_not_replace_what_a_newer_one_saved(trainee):
    path = f"{trainee.start}{place_of('choose one')}/"
    old = trainee.go(path).page
    new = trainee.watched(trainee.context.new_page())
    new.goto(trainee.url + path)
    new.get_by_label("In short pulses.").check()
    with new.expect_navigation():
        new.get_by_role("button", name="Next").click()
    saved = given("choose one")
    old.get_by_label("In one go.").check()
    expect(old.locator("#kept-said")).to_contain_text("in another window")
    assert given("choose one") == saved
    with old.expect_navigation():  # told of it, the person decides
        old.get_by_role("button", name="Next").click()
    assert given("choose one") == 1


def test_next_waits_for_what_was_just_chosen(trainee):
    """The choice is still on its way when Next is pressed; neither is lost, neither is refused."""
    page = trainee.go(f"{trainee.start}{place_of('choose one')}/").page
    page.route("**/sitting/**", slowly)
    page.get_by_label("In one go.").check()
    page.get_by_label("In short pulses.").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Next").click()
    assert given("choose one") == 0
    assert "in another window" not in trainee.text


def slowly(route):
    if b"chosen" in (route.request.post_data_buffer or b""):
        answer = route.fetch()
        route.fulfill(response=answer)
    else:
        route.continue_()


def tabs_to(page, matches):
    """How many tabs it takes until the focus is on such an element."""
    for count in range(1, 4):
        page.keyboard.press("Tab")
        if page.evaluate("what => document.activeElement.matches(what)", matches):
            return count
    raise AssertionError(f"three tabs did not lead to {matches}")


def test_a_question_takes_two_tabs_at_most(trainee):
    """The focus begins on the question itself, after each Next as well."""
    page = trainee.go(f"{trainee.start}1/").page
    for _ in range(PLACES):
        expect(page.locator("h1")).to_be_focused()
        tabs = 0
        if page.locator("ol.order").count():
            tabs += tabs_to(page, "ol.order button")
            page.keyboard.press("ArrowDown")
            page.keyboard.press("Enter")
            while not page.evaluate("document.activeElement.matches('button.primary')"):
                page.keyboard.press("ArrowDown")
        elif page.locator("main input[type=checkbox]").count():
            tabs += tabs_to(page, "main input[type=checkbox]")
            page.keyboard.press("Space")
            page.keyboard.press("ArrowDown")
            page.keyboard.press("Space")
        elif page.locator("main input[type=radio]").count():
            tabs += tabs_to(page, "main input[type=radio]")
            page.keyboard.press("Space")
        else:
            tabs += tabs_to(page, "main input[type=text]")
            page.keyboard.type("28 N·m")
        assert tabs <= 2
        with page.expect_navigation():
            page.keyboard.press("Enter")
    trainee.sees("4 of 4")
    assert not Answer.objects.filter(given=None).exists()
    assert len(given("choose all")) == 2
