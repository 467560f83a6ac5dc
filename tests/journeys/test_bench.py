"""Does the bench view work without network, by the keyboard alone, and is its job there exactly
once?
"""

import pytest
from playwright.sync_api import expect

from procedures.actions.drawings import keep_drawing
from procedures.actions.studying import keep_fork
from tests.procedures.factories import TEXT, RevisionFactory
from tests.procedures.picture_files import photo_bytes
from tests.training.shop import NOW, TODAY
from training.models import Job


def test_a_job_worked_through_without_network_arrives_once(shop, walk):
    keep_fork(revision=shop.revision, person=shop.trainee, chosen={"ring": "prong"})
    before = Job.objects.count()
    walker = walk(shop.trainee).go(f"/bench/{shop.revision.writeup.name}/")
    page = walker.page
    page.locator("#bench-kept", has_text="This page is kept on this device").wait_for(
        state="attached"
    )
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    walker.sees("step 3 of 5")

    complaints = len(walker.complaints)
    walker.context.set_offline(True)
    page.reload()
    walker.sees(
        "step 3 of 5",
        "Kept copy of revision 1 from 25 Nov 2026; not checked against the shop today.",
    )
    page.keyboard.press("End")
    page.select_option("[name=watched_by]", shop.senior.login)
    walker.press("Write it down")
    page.get_by_text("Not sent yet").wait_for()
    assert Job.objects.count() == before

    walker.context.set_offline(False)
    page.get_by_text("The job is logged.").wait_for()
    del walker.complaints[complaints:]  # the browser says of each request that there was no network
    page.reload()
    walker.sees("step 1 of 5")
    assert Job.objects.count() == before + 1

    walker.page.locator("details.who summary").click()
    walker.press("Sign out")
    page.wait_for_load_state("networkidle")
    assert (
        page.evaluate("async () => (await caches.keys()).filter(name => name.startsWith('bench-'))")
        == []
    )
    assert (
        page.evaluate("Object.keys(localStorage).filter(key => key.startsWith('bench-place'))")
        == []
    )


WORDS = "Press the valve core until the hiss stops."


def at_the_bench(shop, walk, revision=None, **more):
    keep_fork(revision=revision or shop.revision, person=shop.trainee, chosen={"ring": "prong"})
    walker = walk(shop.trainee, **more)
    return walker


def swipe(page, across, down=0):
    """A finger on the glass, as the browser's own protocol tells it."""
    finger = page.context.new_cdp_session(page)
    x, y = 180, 400
    finger.send(
        "Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]}
    )
    for part in (0.5, 1):
        finger.send(
            "Input.dispatchTouchEvent",
            {"type": "touchMove", "touchPoints": [{"x": x + across * part, "y": y + down * part}]},
        )
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_a_finger_turns_the_step(shop, walk):
    walker = at_the_bench(shop, walk).go("/bench/air-spring-service/")
    walker.sees("step 1 of 5")
    swipe(walker.page, -130)
    walker.sees("step 2 of 5")
    swipe(walker.page, -40)  # too short to be meant
    walker.sees("step 2 of 5")
    swipe(walker.page, 130)
    walker.sees("step 1 of 5")


LOCK = """
    window.asked = 0;
    Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
        window.asked += 1;
        if (%s) throw new Error("no");
        return {};
    } } });
"""


@pytest.mark.parametrize(
    ("refuses", "said"), [("false", "The screen stays on."), ("true", "The screen may go dark")]
)
def test_the_screen_is_kept_on_again_when_the_page_comes_back(shop, walk, refuses, said):
    walker = at_the_bench(shop, walk)
    walker.context.add_init_script(LOCK % refuses)
    walker.go("/bench/air-spring-service/").page.get_by_text(said).wait_for(state="attached")
    assert walker.page.evaluate("asked") == 1
    # a locked screen lets the lock go
    walker.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert walker.page.evaluate("asked") == 2


def test_a_retired_revision_says_so_from_the_kept_copy_and_with_network(shop, walk):
    walker = at_the_bench(shop, walk).go("/bench/air-spring-service/")
    page = walker.page
    page.locator("#bench-kept", has_text="This page is kept on this device").wait_for(
        state="attached"
    )
    page.wait_for_load_state("networkidle")
    RevisionFactory(
        writeup=shop.revision.writeup,
        number=2,
        text=TEXT.format(title="Air-spring service"),
        released=True,
        released_on=TODAY,
    )

    complaints = len(walker.complaints)
    walker.context.set_offline(True)
    page.reload()
    walker.sees("Kept copy of revision 1 from 25 Nov 2026; not checked against the shop today.")
    walker.context.set_offline(False)
    page.get_by_text("Revision 1 is retired. Revision 2 is in force").wait_for()
    del walker.complaints[complaints:]  # the browser says of each request that there was no network
    page.reload()
    walker.sees("revision 2")
    expect(page.get_by_text("Revision 1 is retired")).to_have_count(0)


def test_a_photo_of_a_step_is_there_without_network(shop, walk):
    picture = keep_drawing(
        name="ring-pliers",
        title="Ring pliers",
        description="A pair of pliers.",
        data=photo_bytes(),
        by=shop.senior,
        now=NOW,
    )
    text = TEXT.format(title="Air-spring service").replace(
        WORDS, f"{WORDS}\n\n![ring pliers](drawing:ring-pliers)", 1
    )
    revision = RevisionFactory(
        writeup=shop.revision.writeup, number=2, text=text, released=True, released_on=TODAY
    )
    walker = at_the_bench(shop, walk, revision).go("/bench/air-spring-service/")
    page = walker.page
    page.locator("#bench-kept", has_text="This page is kept on this device").wait_for(
        state="attached"
    )
    complaints = len(walker.complaints)
    walker.context.set_offline(True)
    page.reload()
    walker.sees("Kept copy of revision 2")
    photo = page.locator(f"img[src*='{picture.digest}']")
    expect(photo).to_have_count(1)
    assert (
        photo.evaluate(
            "async (image) => { image.loading = 'eager'; await image.decode(); return "
            "image.naturalWidth; }"
        )
        > 0
    )
    del walker.complaints[complaints:]
