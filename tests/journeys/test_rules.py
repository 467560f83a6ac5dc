"""Are the shop's rules written row by row in the browser, also by keyboard alone?"""

import re

from procedures.models import ShopRules
from procedures.writeup.rules import read_rules


def test_a_demand_is_added_typed_and_saved_by_keyboard_alone(shop, walk):
    writer = walk(shop.other_senior, wide=True)
    writer.go("/write-ups/rules/")
    page = writer.page
    page.get_by_role("button", name=re.compile("^Add a row.*What a step must find")).press("Enter")
    page.locator("#id_demands-0-field_1:focus").wait_for()  # the new row is where one types on
    page.keyboard.type("uses the tool")
    page.keyboard.press("Tab")
    page.keyboard.type("hacksaw")
    for _ in range(3):
        page.keyboard.press("Tab")
    page.keyboard.type("goggles on")
    for _ in range(3):
        page.keyboard.press("Tab")
    page.keyboard.type("chips hurt the eyes")
    page.keyboard.press("Enter")
    page.get_by_text("The rules are saved as the newest version.").wait_for()
    (demand,) = read_rules(ShopRules.objects.latest("pk").text).demands
    assert (demand.when, demand.needs, demand.because) == (
        (("tool", ("hacksaw",)),),
        ("goggles on",),
        "chips hurt the eyes",
    )
