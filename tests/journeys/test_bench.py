"""Does the bench view work without network, by the keyboard alone, and is its job there exactly once?"""

from procedures.actions.studying import keep_fork
from training.models import Job


def test_a_job_worked_through_without_network_arrives_once(shop, walk):
    keep_fork(revision=shop.revision, person=shop.trainee, chosen={"ring": "prong"})
    before = Job.objects.count()
    walker = walk(shop.trainee).go(f"/bench/{shop.revision.writeup.name}/")
    page = walker.page
    page.locator("#bench-kept", has_text="This page is kept on this device").wait_for(state="attached")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    walker.sees("step 3 of 5")

    complaints = len(walker.complaints)
    walker.context.set_offline(True)
    page.reload()
    walker.sees("step 3 of 5", "Kept copy of revision 1 from 25 Nov 2026; not checked against the shop today.")
    page.keyboard.press("End")
    page.select_option("[name=watched_by]", shop.senior.login)
    walker.press("Write it down")
    page.get_by_text("Not sent yet").wait_for()
    assert Job.objects.count() == before

    walker.context.set_offline(False)
    page.get_by_text("The job is written down.").wait_for()
    del walker.complaints[complaints:]  # the browser says of each request that there was no network
    page.reload()
    walker.sees("step 1 of 5")
    assert Job.objects.count() == before + 1

    walker.page.locator("details.who summary").click()
    walker.press("Sign out")
    page.wait_for_load_state("networkidle")
    assert page.evaluate("async () => (await caches.keys()).filter(name => name.startsWith('bench-'))") == []
    assert page.evaluate("Object.keys(localStorage).filter(key => key.startsWith('bench-place'))") == []
