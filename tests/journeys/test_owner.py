"""Does the owner's asking tell why, and do the doors stay shut for whoever comes a second way?"""

import re

from django.utils import timezone
from playwright.sync_api import expect

from procedures.models import Revision
from quizzes.actions.sittings import end_sitting, save_answer
from quizzes.models import Sitting
from tests.journeys.test_to_alone import answer_rightly
from tests.quizzes.factories import right_answer
from tests.training.shop import found, make_ready
from training.models import SignOff, User
from training.records.keeping import faults


def cell_of(walker, person):
    """The block that the grid shows for a person at the one level."""
    row = walker.page.locator("table.grid tbody tr", has_text=person.name)
    return row.locator("td .standing").get_attribute("class").split()[1]


def test_a_no_tells_what_is_missing_and_what_to_do(shop, walk):
    owner = (
        walk(shop.owner, wide=True)
        .click("Who may")
        .click(re.compile("Reasons and record.*Tilda Trainee"))
    )
    owner.sees("May not do this, because:", "Not read yet", "What to do next", "The person:")
    owner.click("Who may")
    assert (cell_of(owner, shop.senior), cell_of(owner, shop.trainee)) == ("alone", "no")


def test_a_newcomer_is_added_and_signs_in(shop, walk):
    owner = walk(shop.owner, wide=True).click("People").click("Add a person")
    owner.page.get_by_label(re.compile("^Login")).fill("nell")
    owner.page.get_by_label(re.compile("^Name")).fill("Nell Newcomer")
    owner.page.get_by_label(re.compile("^Role")).select_option("trainee")
    owner.press("Add the person").sees("Nell Newcomer is added.", "Give Nell Newcomer a link.")
    owner.sign("Make the link").sees("Link for Nell Newcomer", "This link works once, until")
    code = re.search(r"[a-z2-7]{4}(-[a-z2-7]{4}){3}", owner.text)[0]
    newcomer = walk().go(f"/first-password/{code}/")
    for name in ("new_password1", "new_password2"):
        newcomer.page.fill(f"[name={name}]", "a spoke in the wheel")
    newcomer.press("Save password").sees("Your password is set. Sign in as nell.")
    newcomer.sign_in(User.objects.get(login="nell"), "a spoke in the wheel")
    newcomer.sees("Air-spring service", "Read the current revision")
    assert cell_of(owner.click("Who may"), User.objects.get(login="nell")) == "no"
    assert list(faults()) == []


def test_a_stand_down_shows_at_once_and_its_lift_too(shop, walk):
    found(shop.mechanic, shop.level, shop.owner)
    owner = walk(shop.owner, wide=True).go("/who-may/")
    assert cell_of(owner, shop.mechanic) == "alone"
    senior = walk(shop.senior).go("/who-may/air-spring/mika/").click("Stand down")
    senior.page.fill("[name=reason]", "A fork came back with the ring out.")
    senior.sign("Sign the stand-down").sees("Mika Mechanic is stood down.")
    owner.page.reload()
    assert cell_of(owner, shop.mechanic) == "stopped"
    owner.go("/who-may/?on=2026-11-24")
    assert cell_of(owner, shop.mechanic) == "alone"
    mechanic = walk(shop.mechanic).sees(
        "stopped", "A senior: Put right what led to the stand-down, then allow the work again."
    )
    mechanic.click(re.compile("Show the reasons ?: Air-spring service"))
    mechanic.sees(
        "May not do this, because:",
        "Stood down from Air-spring service since 25 Nov 2026, by Sol Senior.",
    )
    assert not mechanic.has("link", re.compile("Allow again"))
    owner.go("/who-may/air-spring/mika/").click("Allow again")
    owner.page.fill("[name=reason]", "Went through ring seating with Sol.")
    owner.sign("Allow again")
    assert cell_of(owner.go("/who-may/"), shop.mechanic) == "alone"


def test_five_wrong_passwords_at_signing_close_the_door_to_the_right_one(shop, walk):
    make_ready(shop, shop.trainee)
    senior = walk(shop.senior).go("/who-may/air-spring/tilda/sign-off/")
    for _ in range(8):  # each wait is longer, so that a slow browser meets one
        senior.page.fill("[name=password]", "guessed")
        senior.press(re.compile("^Sign as"))
    senior.sees("Too many wrong passwords", "Try again in")
    senior.go("/who-may/air-spring/tilda/sign-off/").sign(re.compile("^Sign as")).sees(
        "Too many wrong passwords"
    )
    assert not SignOff.objects.filter(person=shop.trainee).exists()


def test_an_answer_from_a_window_that_was_left_open_does_not_reach_an_ended_sitting(shop, walk):
    trainee = walk(shop.trainee).press(re.compile("Start the quiz"))
    start = trainee.path
    trainee.go(f"{start}1/")
    sitting = Sitting.objects.get()
    for answer in sitting.answers.select_related("version__question"):
        given = right_answer(answer)
        save_answer(sitting=sitting, place=answer.place, given=given, now=timezone.now())
    end_sitting(sitting=sitting)
    kept = list(Sitting.objects.get().answers.order_by("place").values_list("given", "marks"))
    answer_rightly(trainee, amount="1 N·m").sees("passed")
    assert trainee.path == f"{start}result/"
    assert (
        list(Sitting.objects.get().answers.order_by("place").values_list("given", "marks")) == kept
    )


def test_a_draft_released_meanwhile_is_not_saved_over(shop, walk):
    writer = (
        walk(shop.other_senior, wide=True)
        .click("Write-ups")
        .press(re.compile("Start the next revision"))
    )
    writer.page.get_by_label(re.compile("must do", re.IGNORECASE)).select_option("nothing")
    text = writer.page.input_value("[name=text]").replace(
        "Put the guard on", "Put the clean guard on"
    )
    writer.page.fill("[name=text]", text)
    writer.page.fill("[name=reason]", "Cleaner words.")
    writer.press("Save draft").sees("The draft is saved.")
    left_open = writer.page
    writer.page = writer.watched(writer.context.new_page())
    writer.go("/write-ups/air-spring-service/2/").press("Send to review").sees("in review")
    walk(shop.senior).go("/write-ups/air-spring-service/2/").press(re.compile("^Release")).sees(
        "Released."
    )
    kept = Revision.objects.get(number=2).text
    writer.page = left_open
    writer.page.fill("[name=text]", text.replace("clean guard", "dirty guard"))
    writer.press("Save draft").sees("This revision is released and cannot be changed.")
    assert Revision.objects.get(number=2).text == kept


def test_a_mechanic_sees_no_door_that_is_shut(shop, walk):
    mechanic = walk(shop.mechanic)
    for name in ("Who may", "People", "Record book", "Questions", "Levels"):
        assert not mechanic.has("link", name)
    mechanic.go("/who-may/", expect=403).go("/people/new/", expect=403).go("/book/", expect=403)


def test_a_long_book_is_checked_in_portions_and_each_is_said(shop, walk, monkeypatch):
    monkeypatch.setattr("training.reports.book.PORTION", 2)
    owner = walk(shop.owner, wide=True).go("/book/")
    owner.page.get_by_role("button", name="Check the whole book").click()
    told = owner.page.get_by_role("status").and_(owner.page.locator("#check"))
    expect(told).to_contain_text("Checked just now: the book is whole and agrees with the tables.")
    expect(owner.page.locator("#check")).to_have_count(1)
