"""Does the first hour of the README go as it says, for each of the three, in either order, and
again?

Who signs in, how many steps there are and the words in italics are read from README.md: what is in
italics there has stood on a page by the time its step was walked.
"""

import re
from functools import partial

import pytest
from django.db import connection
from playwright.sync_api import expect

from tests.architecture.documents import DOCS
from tests.journeys.demo_answers import plain
from training.models import SignOff
from training.records.keeping import faults

PART = re.compile(r"^\*\*As the [\w ]+, `(\w+)`\*\*\n\n(.*?)\n\n", re.MULTILINE | re.DOTALL)


@pytest.fixture
def shop(demo):
    return demo


def steps_of_the_readme():
    """The steps of each part, by who signs in."""
    return {
        login: [plain(step) for step in re.split(r"^\d\. ", body, flags=re.MULTILINE)[1:]]
        for login, body in PART.findall(DOCS["README.md"])
    }


def listening(walker):
    """The walker, who now hears each page on the way into `heard`."""
    walker.heard = []
    click, go = walker.click, walker.go

    def hear(act, *args, **more):
        act(*args, **more)
        # what is folded away, too
        walker.heard.append(plain(walker.page.evaluate("document.body.textContent")).lower())
        return walker

    walker.click, walker.go = partial(hear, click), partial(hear, go)
    return walker


def reads(ivy, again):
    ivy.go("/")
    if again:
        return ivy.sees("supervised")
    ivy.sees("It is the first of 4 things missing", "not yet").click("Study the write-up")
    return ivy.press(re.compile("I have studied revision 3")).sees("supervised")


def works_at_the_bench(ivy, again):
    ivy.go("/").click(re.compile("^Take it to the bench.*Lower-leg service"))
    return ivy.press("Done, next").sees("step ")


def practises(ivy, again):
    ivy.go("/")
    if again:
        # The quiz that was begun is open still, and practice could give its answers away.
        ivy.sees("Go on with the quiz")
        assert "practice question" not in plain(ivy.text).lower()
        return ivy
    return ivy.click("Practise five questions").sees("Practice questions")


def begins_a_quiz(ivy, again):
    if again:
        return ivy.go("/").press(re.compile("Go on with the quiz")).sees("answered")
    ivy.go("/").press(re.compile("Start the quiz.*Lower-leg service")).sees("0 of 24")
    return ivy.go("/").press(re.compile("Go on with the quiz")).sees("0 of 24")


def makes_a_card(ivy, again):
    ivy.go("/card/").press(re.compile("^Make (the|a new) card"))
    return ivy.sees("Make a new card")


def signs_off(bo, again):
    bo.go("/")
    if again:
        assert "Eli Stone has done everything" not in plain(bo.text)
        return bo.go("/who-may/damper/eli/").sees("sign-off of 25 Nov 2026 by Bo Marsh")
    return bo.click(re.compile("Sign off ?: Eli Stone")).sign("Sign as Bo Marsh").sees("Signed:")


def observes(bo, again):
    cell(bo, "Nia Vale, Air-spring service").click("Observe a job")
    bo.page.get_by_label("Air-spring service, single-crown air fork").check()
    bo.page.get_by_label("prong").check()
    bo.page.get_by_label("none").check()
    bo.press("Show the check sheet").page.locator("input[data-low]").first.fill("9")
    expect(bo.page.locator(".outside").first).to_contain_text("Outside")
    return bo


def allows_again(bo, again):
    bo.go("/")
    if again:
        assert "Gus Hill" not in bo.page.locator("section, .sheet").first.inner_text()
        return bo
    bo.click(re.compile("Open it ?: Gus Hill"))
    bo.page.get_by_label(re.compile("What was done")).fill("Three rings seated under my eyes.")
    return bo.sign("Allow again").sees("Gus Hill")


def withdraws_a_question(bo, again):
    bo.click("Questions", exact=True).click(re.compile("Show the figures ?: Air and sag"))
    if again:
        bo.go("/questions/air-and-sag/which-unit-is-larger/")
        return bo.sees("withdrawn")
    bo.sees("1 question needs you").click(re.compile("^Of which unit of pressure"))
    bo.page.get_by_label("Why you withdraw it").fill("Another option is the right one.")
    return bo.press("Withdraw this question").sees("This question is withdrawn")


def cuts_a_step(bo, again):
    bo.click("Write-ups", exact=True)
    if again:
        bo.go("/write-ups/air-spring-service/3/edit/")
    else:
        bo.press(re.compile("Start the next revision.*Air-spring service"))
    text = bo.page.locator("textarea[name=text]")
    cut = re.sub(
        r"### Check that the ring is seated .*?(?=\n###? )", "", text.input_value(), flags=re.S
    )
    # `fill` types 37,000 letters past the browser's spelling check
    text.evaluate("(box, typed) => { box.value = typed }", cut)
    bo.press("Check the text")
    expect(bo.page.locator("#found")).not_to_contain_text("No error")
    return bo


def asks_why_he_is_stopped(ada, again):
    cell(ada, "Max Dale, Intake and checks").sees("Stood down", "Each rule of this level")
    return ada.go("/who-may/intake/max/?on=2026-11-16").sees("May work alone")


def reads_what_was_cancelled(ada, again):
    ada.click("Who may", exact=True).click("Cancelled entries").sees(
        "Cai Rowan: sign-off, Damper service"
    )
    return cell(ada, "Eli Stone, Damper service").sees("19 Dec 2025")


def plans_without_bo(ada, again):
    ada.click("Cover", exact=True)
    ada.page.get_by_label("Look ahead").select_option(label="eight weeks")
    ada.page.locator("select[name^=without]").first.select_option("bo")
    ada.press("Show the cover").sees("Who you depend on most", "Worked out without Bo Marsh")
    ada.page.locator("button[popovertarget]").first.click()
    assert ada.page.locator(":popover-open").inner_text()
    ada.click(re.compile("The training plan without Bo Marsh"))
    return ada.sees("Learn Travel change", "Renew Air-spring service", "closes gaps on")


def tries_other_rules(ada, again):
    ada.click("Levels", exact=True).click(re.compile("Try other rules.*Travel change"))
    ada.page.get_by_label("Jobs to stay current").fill("8")
    ada.press("Compare").sees("trial rules")
    today, trial = (int(text) for text in re.findall(r"rules\s+(\d+)\n", ada.text)[:2])
    assert trial > today
    return ada


def checks_the_book(ada, again):
    ada.click("Record book", exact=True).press("Check the whole book").sees("whole")
    return ada.click("Who may", exact=True).click("Print a sheet for the wall")


def cell(walker, name):
    walker.click("Who may", exact=True).page.locator("summary", has_text=name).click()
    return walker.click("Reasons and record")


WALKED = {
    "ivy": (reads, works_at_the_bench, practises, begins_a_quiz, makes_a_card),
    "bo": (signs_off, observes, allows_again, withdraws_a_question, cuts_a_step),
    "ada": (
        asks_why_he_is_stopped,
        reads_what_was_cancelled,
        plans_without_bo,
        tries_other_rules,
        checks_the_book,
    ),
}

# Read only, and of what none of the steps changes: walked once.
CHANGED_BY_NOBODY = {asks_why_he_is_stopped, tries_other_rules, checks_the_book}

ORDERS = ("ada", "bo", "ivy"), ("ivy", "bo", "ada")


def test_the_first_hour_is_walked_twice_in_two_orders(shop, walk):
    told = steps_of_the_readme()
    assert {login: len(steps) for login, steps in told.items()} == {
        login: len(steps) for login, steps in WALKED.items()
    }
    walkers = {login: listening(walk(shop[login], wide=True)) for login in WALKED}
    heard = {}
    # What the second walk looks at is what the first one left, and it asks the database the same.
    orders = ORDERS if connection.vendor == "sqlite" else ORDERS[:1]
    for again, order in enumerate(orders):
        for login in order:
            for place, step in enumerate(WALKED[login]):
                if again and step in CHANGED_BY_NOBODY:
                    continue
                step(walkers[login], bool(again))
                heard.setdefault((login, place), []).extend(walkers[login].heard)
                walkers[login].heard.clear()
    for (login, place), pages in heard.items():
        for words in re.findall(r"\*([^*]+)\*", told[login][place]):
            assert any(words.lower() in page for page in pages), (login, place + 1, words)
    assert SignOff.objects.filter(person=shop["eli"], level__name="damper").count() == 2
    assert list(faults()) == []
