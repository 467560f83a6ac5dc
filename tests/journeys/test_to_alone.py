"""Does somebody get from empty standing to alone, each step through the pages?"""

import re

from playwright.sync_api import expect

from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY, make_ready, sit, watched_job
from training.actions.entries import record_reading
from training.models import Job, Observation, SignOff
from training.records.keeping import faults

PLACES = 4
RIGHT_ONE = "In short pulses."
RIGHT_ALL = ("It lies flat.", "It turns.")
RIGHT_ORDER = ("Let the air out", "Guard the shaft", "Open the chamber", "Take the guard off")


def answer_rightly(walker, *, amount="247.8 in·lbf"):
    """Answer the question on this page; the torque in another unit than the write-up's (28 N·m;
    NIST SP 811).
    """
    page = walker.page
    if page.locator("ol.order").count():
        put_in_order(walker)
        return walker.next()
    if page.locator("main input[type=radio]").count():
        page.get_by_label(RIGHT_ONE).check()
    elif page.locator("main input[type=checkbox]").count():
        for text in RIGHT_ALL:
            page.get_by_label(text).check()
    else:
        page.get_by_label("Amount with its unit").fill(amount)
    return walker.next()


def put_in_order(walker):
    page = walker.page
    for place, title in enumerate(RIGHT_ORDER):
        for _ in range(len(RIGHT_ORDER)):
            rows = page.locator("ol.order > li").all_inner_texts()
            at = next(number for number, row in enumerate(rows) if title in row)
            if at == place:
                break
            page.locator("ol.order > li").nth(at).get_by_role(
                "button", name=re.compile("^Up")
            ).click()


def sit_the_quiz(walker, **more):
    """Next leads from each question to the one after it, and from the last one to the list."""
    start = walker.path
    walker.go(f"{start}1/")
    for place in range(1, PLACES + 1):
        assert walker.path == f"{start}{place}/"
        answer_rightly(walker, **more)
    assert walker.path == start
    return walker.press("End the quiz")


def study(walker):
    walker.click(re.compile("Air-spring service, revision"))
    walker.page.get_by_label("prong").check()
    walker.press("Show the steps")
    return walker.press(re.compile("I have studied revision"))


def write_down_a_watched_job(walker):
    walker.go("/").click(re.compile("Log a job"))
    walker.page.get_by_label("prong").check()
    walker.page.get_by_label(re.compile("^Supervised by")).select_option("sol")
    return walker.press("Log the job")


def fill_check_sheet(walker, seen="unaided"):
    page = walker.page
    if walker.has("button", "Show the check sheet"):
        page.get_by_label("prong").check()
        walker.press("Show the check sheet")
    for number in range(page.locator("fieldset.check").count()):
        page.locator("fieldset.check").nth(number).get_by_label(seen, exact=True).check()
    return walker.press("Record observation")


def test_from_empty_standing_to_alone(shop, walk):
    trainee = walk(shop.trainee).sees("not yet", "Read the current revision")
    study(trainee).sees("Saved: you have studied Air-spring service, revision 1.")
    trainee.press(re.compile("Start the quiz"))
    sit_the_quiz(trainee).sees("passed")
    write_down_a_watched_job(trainee).sees("The job is logged.")
    trainee.go("/").sees("supervised", "Watch a job with the check sheet")

    senior = (
        walk(shop.senior)
        .sees("Did you watch these jobs?")
        .press(re.compile("^Confirm the job ?: Tilda Trainee"))
    )
    senior.go("/").sees("Tilda Trainee needs one observation, and nothing else.")
    fill_check_sheet(senior.click(re.compile("^Observe"))).sees(
        "The observation of Tilda Trainee is recorded."
    )
    senior.go("/").sees("Tilda Trainee has done everything the level asks.")
    senior.click(re.compile("^Sign off")).sees("Tilda Trainee may do Air-spring service alone")
    senior.sign(re.compile("Sign as Sol Senior")).sees("Signed:", "alone")

    owner = walk(shop.owner, wide=True).click("Who may")
    owner.click(re.compile("Reasons and record.*Tilda Trainee"))
    owner.sees("May work alone.", "sign-off of 25 Nov 2026 by Sol Senior", "25 Nov 2028")
    trainee.go("/").sees("alone", "until 25 Nov 2028")
    assert list(faults()) == []


def test_a_sitting_outlives_a_reload_and_a_second_window(shop, walk):
    trainee = walk(shop.trainee).press(re.compile("Start the quiz"))
    start = trainee.path
    answer_rightly(trainee.go(f"{start}1/"))
    trainee.page.reload()
    second = trainee.watched(trainee.context.new_page())
    second.goto(trainee.url + "/")
    second.get_by_role("button", name=re.compile("Go on with the quiz")).first.click()
    assert second.url == trainee.url + start
    assert "1 of 4" in second.inner_text("main")


def test_a_sitting_can_be_done_without_scripts(shop, walk):
    trainee = walk(shop.trainee, scripts=False).press(re.compile("Start the quiz"))
    sit_the_quiz(trainee).sees("passed")


def test_somebody_who_never_saw_it_observes_and_signs_off_in_few_actions(shop, walk):
    """On a phone, from the sign-in page on: each tap and each field filled in is an action, and
    there are at most twelve.
    """
    record_reading(person=shop.trainee, revision=shop.revision, on=TODAY, now=NOW)
    sit(shop.trainee, shop.quiz)
    watched_job(shop, shop.trainee)
    senior = walk().go("/sign-in/")
    page = senior.page
    actions = [
        lambda: page.get_by_label("Login").fill(shop.senior.login),
        lambda: page.get_by_label("Password").fill(PASSWORD),
        lambda: senior.press("Sign in"),
        lambda: senior.click(re.compile("^Observe")),
        lambda: page.get_by_label("prong").check(),
        lambda: senior.press("Show the check sheet"),
        lambda: page.get_by_label("unaided").check(),
        lambda: senior.press("Record observation"),
        lambda: senior.click("Sign off"),
        lambda: page.get_by_label(re.compile("^Your password")).fill(PASSWORD),
        lambda: senior.press(re.compile("^Sign as Sol Senior")),
    ]
    for act in actions:
        act()
    senior.sees("Signed:", "alone")
    assert len(actions) <= 12
    assert (
        Observation.objects.filter(person=shop.trainee).count(),
        SignOff.objects.filter(person=shop.trainee).count(),
    ) == (1, 1)
    assert SignOff.objects.filter(person=shop.trainee).count() == 1


def test_what_was_typed_at_an_observation_outlives_the_page(shop, walk):
    make_ready(shop, shop.trainee)
    before = Observation.objects.count()
    senior = walk(shop.senior)
    page = senior.page
    sheet = "/who-may/air-spring/tilda/observe/?writeup=air-spring-service&v-ring=prong"
    senior.go(sheet)
    page.get_by_label("not right", exact=True).check()
    page.locator("textarea[name=note]").fill("Ring not turned after seating.")
    mark = page.locator("[name=mark]").input_value()
    page.close()

    page = senior.page = senior.watched(senior.context.new_page())
    senior.go(sheet).sees("What you had typed before is back")
    expect(page.get_by_label("not right", exact=True)).to_be_checked()
    expect(page.locator("textarea[name=note]")).to_have_value("Ring not turned after seating.")
    assert page.locator("[name=mark]").input_value() == mark
    senior.press("Record observation").sees("The observation of Tilda Trainee is recorded.")
    assert "taken" not in page.url
    row = Observation.objects.order_by("pk").last()
    assert (Observation.objects.count() - before, row.right, row.note) == (
        1,
        False,
        "Ring not turned after seating.",
    )

    senior.go(sheet)
    expect(page.get_by_label("not right", exact=True)).not_to_be_checked()
    expect(page.locator("#kept-told")).to_be_hidden()


def test_a_form_that_was_kept_can_be_begun_again(shop, walk):
    senior = walk(shop.senior)
    page = senior.page
    sheet = "/who-may/air-spring/tilda/observe/?writeup=air-spring-service&v-ring=prong"
    senior.go(sheet)
    page.locator("textarea[name=note]").fill("Somebody else's job.")
    senior.go(sheet).sees("What you had typed before is back")
    page.get_by_role("button", name="Start again with an empty form").click()
    expect(page.locator("textarea[name=note]")).to_have_value("")
    page.locator("textarea[name=note]").fill("Kept for Sol only.")
    page.locator("details.who summary").click()
    senior.press("Sign out")
    page.wait_for_function("!Object.keys(localStorage).some((key) => key.startsWith('kept-form:'))")


def test_the_owner_founds_appoints_stands_down_and_lifts(shop, walk):
    owner = (
        walk(shop.owner, wide=True).go("/who-may/air-spring/mika/").click("Give the first sign-off")
    )
    owner.page.fill("[name=note]", "Seen at another bench for ten years.")
    owner.sign(re.compile("Sign as Odile Owner")).sees("alone")
    owner.click("Stand down").page.fill("[name=reason]", "A fork came back with the ring out.")
    owner.sign("Sign the stand-down").sees("Mika Mechanic is stood down.", "Stood down from")
    owner.go("/who-may/air-spring/mika/").sees(
        "May not do this, because:", "A fork came back with the ring out."
    )
    owner.click("Allow again").page.fill("[name=reason]", "Went through ring seating with Sol.")
    owner.sign("Allow again").sees("is allowed again")
    owner.go("/who-may/air-spring/mika/").sees("May work alone.")
    owner.go("/people/wim/")
    owner.page.get_by_label("Service level").select_option("air-spring")
    owner.press("Appoint").sees(
        "Wim Writer may sign off Air-spring service.", "appointed by Odile Owner"
    )
    assert list(faults()) == []


def test_the_owner_asks_for_another_day_and_as_known_then(shop, walk):
    owner = (
        walk(shop.owner, wide=True)
        .go("/who-may/air-spring/sol/?on=2026-12-24")
        .sees("Thursday, 24 Dec 2026", "alone")
    )
    owner.go("/who-may/air-spring/sol/?on=2026-11-24&known_on=2026-11-20").sees(
        "May not do this, because:"
    )
    owner.go("/who-may/").page.get_by_text("More choices: workshop, fork, as known on").click()
    owner.page.get_by_label("Ring").select_option("prong")
    owner.press("Show this day").sees("ring prong")
    assert Job.objects.count() == Observation.objects.count() == 0
