"""Does a new revision go its way: written, found fault with, put right, reviewed, released by
another, read again?
"""

import re

from procedures.models import Revision
from tests.training.shop import TODAY, found
from training.actions import entries


def test_from_draft_to_read_again(shop, walk):
    found(shop.mechanic, shop.level, shop.owner)
    entries.record_reading(
        person=shop.mechanic, revision=shop.revision, on=TODAY, now=shop.revision.recorded_at
    )
    writer = (
        walk(shop.other_senior, wide=True)
        .click("Write-ups")
        .press(re.compile("Start the next revision"))
    )
    text = writer.page.input_value("[name=text]")
    writer.page.fill("[name=text]", text.replace("ends: shaft guarded\n", ""))
    writer.page.get_by_label(re.compile("must do", re.IGNORECASE)).select_option("read again")
    writer.page.fill("[name=reason]", "The guard comes off last.")
    writer.press("Check").sees("guard-left", "shaft guarded")
    writer.page.fill("[name=text]", text.replace("Put the guard on", "Put the clean guard on"))
    writer.press("Save draft").sees("The draft is saved.")
    writer.go("/write-ups/air-spring-service/2/").press("Send to review").sees("in review")
    assert not writer.has("button", re.compile("^Release"))

    other = walk(shop.senior).sees("In review")
    other.click(re.compile("^Review")).press(re.compile("^Release")).sees("Released.")
    assert Revision.objects.get(number=2).released_by == shop.senior
    mechanic = walk(shop.mechanic)
    mechanic.sees("alone", "to read", "revision 2")


def test_the_steps_of_another_fork_are_gone_and_cautions_stand_before_their_steps(shop, walk):
    trainee = walk(shop.trainee).go("/study/air-spring-service/").sees("Which fork or shock is it?")
    assert not trainee.page.locator(".step").count()
    trainee.page.get_by_label("prong").check()
    trainee.press("Show the steps").sees("Walk the ring")
    assert "Squeeze the ring" not in trainee.text
    for step in trainee.page.locator(".step:has(.safety)").all():
        panel, action = (
            step.locator(".safety").first.bounding_box(),
            step.locator(".say").bounding_box(),
        )
        assert panel["y"] + panel["height"] <= action["y"]
