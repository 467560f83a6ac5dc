"""Does a newcomer to the demo shop get from nothing to alone, and does a fork with two choices show
only its own steps?

What is right is known from the folder of the demo shop; when a standing lapses, from the rules of
its levels.csv.
"""

import re

import pytest

from procedures.models import Revision
from quizzes.models import Sitting
from tests.journeys.demo_answers import (
    demo_questions,
    plain,
    right_options,
    spot_of,
    titles_in_order,
)
from tests.journeys.test_to_alone import fill_check_sheet
from training.models import Job
from training.records.keeping import faults

# 7 N·m = 62 in·lbf: NIST SP 811, appendix B.8 (1 lbf·in = 0.112 984 8 N·m). Everything else is
# typed in the folder's unit.
IN_OTHER_UNITS = {"foot-bolt-torque": "62 in·lbf"}


@pytest.fixture
def shop(demo):
    return demo


def rows_shown(page):
    return [plain(text) for text in page.locator("ol.order > li > span").all_inner_texts()]


def answer_from_the_folder(walker, questions):
    page = walker.page
    stem = plain(" ".join(page.locator("#stem, .stem").all_inner_texts()))
    if page.locator("ol.order").count():
        put_in_order_of_the_folder(
            page,
            [
                titles_in_order(question)
                for question in questions
                if stem.startswith(question["stem"])
            ],
        )
        return walker.next()
    question = next(question for question in questions if stem.startswith(question["stem"]))
    if "options" in question:
        for text in right_options(question):
            page.get_by_label(text, exact=True).check()
    elif "pairs" in question:
        for pair in question["pairs"]:
            page.get_by_label(plain(pair["left"]), exact=True).select_option(plain(pair["right"]))
    elif "drawing" in question:
        x, y = spot_of(
            question, page.locator(".over").get_attribute("viewBox"), is_mirrored=is_mirrored(page)
        )
        page.get_by_label(re.compile("^Across")).fill(str(x))
        page.get_by_label(re.compile("^Down")).fill(str(y))
    else:
        amount = IN_OTHER_UNITS.get(
            question["name"], re.sub(r" (?:±|\.\.) \S+", "", question["amount"])
        )
        page.get_by_label("Amount with its unit").fill(amount)
    return walker.next()


def is_mirrored(page):
    """Whether the drawing is flipped: its shapes then stand in a group that is."""
    return page.locator(".spot > svg:first-child > g[transform^='matrix(-1']").count() > 0


def put_in_order_of_the_folder(page, orders):
    """Several ordering questions have the same words; the steps tell which one this is."""
    right = next(order for order in orders if sorted(order) == sorted(rows_shown(page)))
    for place, title in enumerate(right):
        for _ in range(rows_shown(page).index(title) - place):
            page.locator("ol.order > li", has_text=title).get_by_role(
                "button", name=re.compile("^Up")
            ).click()
    assert rows_shown(page) == right


def test_a_newcomer_gets_from_nothing_to_alone_at_lower_leg(shop, walk):
    kit = walk(shop["kit"]).sees("Lower-leg service", "not yet", "Read")
    assert kit.page.get_by_text(
        "Demo values. Do not use on a real fork or shock."
    ).first.is_visible()
    for title in ("Release the air", "Fork off and on", "Lower-leg service"):
        kit.click(re.compile(f"^{title}.*, revision"))
        kit.press(re.compile("I have studied revision")).sees(f"Saved: you have studied {title}")

    questions = list(demo_questions("release-the-air", "fork-off-and-on", "lower-leg-service"))
    kit.press(re.compile("Start the quiz ?: Lower-leg service")).click(
        re.compile("Go on with question")
    )
    while kit.page.locator("#stem").count():
        answer_from_the_folder(kit, questions)
    kit.press("End the quiz").sees("Lower-leg service: passed", "Every critical question is right.")
    assert Sitting.objects.get(person=shop["kit"]).percent == 100

    for _ in range(3):
        kit.go("/").click(re.compile("Log a job ?: Lower-leg"))
        kit.page.get_by_label(re.compile("^Supervised by")).select_option("bo")
        kit.press("Log the job").sees("The job is logged.")
    assert set(
        Job.objects.filter(person=shop["kit"]).values_list("watched_by__login", flat=True)
    ) == {"bo"}

    bo = walk(shop["bo"]).sees("Did you watch these jobs?")
    for _ in range(3):
        with bo.page.expect_navigation():
            bo.press(re.compile("^Confirm the job ?: Kit Moss"))
    bo.sees("Kit Moss needs one observation, and nothing else.")
    bo.click(re.compile("Observe a job ?: Kit Moss, Lower-leg service"))
    bo.page.get_by_label("Lower-leg service, single-crown air fork").check()
    fill_check_sheet(bo.press("Show the check sheet")).sees(
        "The observation of Kit Moss is recorded."
    )
    bo.go("/").click(re.compile("Sign off ?: Kit Moss")).sign("Sign as Bo Marsh").sees("Signed:")

    # levels.csv: valid 24 months, but four jobs in twelve: with three, the practice ends a year
    # after the signing.
    ada = walk(shop["ada"], wide=True).click("Who may")
    ada.page.locator("summary", has_text="Kit Moss, Lower-leg service").click()
    ada.sees("May work alone. Signed off until 25 Nov 2027.").click("Reasons and record")
    ada.sees("May work alone.", "25 Nov 2027", "sign-off of 25 Nov 2026 by Bo Marsh")
    ada.go("/who-may/air-spring/kit/").sees("May not do this, because:", "What to do next")
    assert list(faults()) == []


def test_a_prong_fork_without_bumper_shows_its_own_steps_and_cautions_first(shop, walk):
    kit = walk(shop["kit"]).go("/study/air-spring-service/").sees("Which fork or shock is it?")
    assert kit.page.locator(".step").count() == 0
    kit.page.get_by_label("prong").check()
    kit.page.locator("fieldset", has_text="bumper").get_by_label("none").check()
    kit.press("Show the steps").sees("Walk the prong ring out")
    shown = {step.get_attribute("id") for step in kit.page.locator(".step").all()}
    assert not shown & {
        "step-take-out-eyelet-ring",
        "step-seat-eyelet-ring",
        "step-unscrew-bumper-housing",
    }
    # Each caution of the text stands on the page, above what it warns of (ANSI Z535.6 as publicly
    # told; IEC/IEEE 82079-1).
    steps = kit.page.locator(".step:has(.safety)").all()
    assert len(steps) > 5
    for step in steps:
        action = step.locator(".say").bounding_box()
        for panel in step.locator(".safety").all():
            box = panel.bounding_box()
            assert box["y"] + box["height"] <= action["y"]
        assert step.evaluate(
            "e => "
            "!!(e.querySelector('.safety').compareDocumentPosition(e.querySelector('.say')) & "
            "Node.DOCUMENT_POSITION_FOLLOWING)"
        )
    assert Revision.objects.filter(writeup__name="air-spring-service").count() == 2
