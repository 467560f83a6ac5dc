"""What does the site show without network, and to whom?"""

import datetime
import re

import pytest

from procedures.actions.studying import keep_fork
from training.exchange.machine.certificates import certificates

KEPT = """async () => {
  const found = [];
  for (const name of await caches.keys()) {
    for (const { url } of await (await caches.open(name)).keys()) {
      const text = await (await caches.match(url)).text();
      found.push([new URL(url).pathname, text]);
    }
  }
  return found;
}"""


def kept_at_the_bench(shop, walk, person):
    """Somebody who has a write-up kept on their device, and is back on the first page."""
    keep_fork(revision=shop.revision, person=person, chosen={"ring": "prong"})
    walker = walk(person, worker=True).go("/bench/air-spring-service/")
    walker.page.locator("#bench-kept", has_text="kept on this device").wait_for(state="attached")
    return walker.go("/")


def offline(walker, path="/"):
    """The page that comes without network, of which the browser complains."""
    walker.context.set_offline(True)
    walker.page.goto(walker.url + path)
    return walker.sees("Offline")


def back_online(walker):
    walker.context.set_offline(False)
    no_network = [text for text in walker.complaints if "ERR_INTERNET_DISCONNECTED" in text]
    for text in no_network:
        walker.complaints.remove(text)


def test_the_first_page_says_offline_and_lists_what_is_kept_until_somebody_signs_out(shop, walk):
    walker = offline(kept_at_the_bench(shop, walk, shop.trainee))
    assert re.search(r"Offline\. Last seen .*\d{4}.* \d{1,2}:\d\d", walker.text)
    assert "Tilda" not in walker.page.inner_text("body")
    walker.click("Air-spring service").sees("step 1 of 5", "Kept copy of revision 1")
    back_online(walker)
    walker.go("/").page.locator("details.who summary").click()
    walker.press("Sign out").page.wait_for_load_state("networkidle")
    for path, text in walker.page.evaluate(KEPT):
        assert path.startswith(("/offline/", "/static/"))
        assert not re.search(r"Tilda|tilda|Sol Senior", text)
    offline(walker).sees("None. A write-up is kept when you open it at the bench.")
    assert "Last seen" not in walker.text
    back_online(walker)


@pytest.mark.parametrize("lasts", [datetime.timedelta(0), datetime.timedelta(hours=12)])
def test_a_kept_page_shows_no_name_when_the_sign_in_has_ended(shop, walk, monkeypatch, lasts):
    monkeypatch.setattr("training.site.context.IDLE", lasts)
    walker = kept_at_the_bench(shop, walk, shop.trainee)
    walker.page.wait_for_load_state("networkidle")
    walker.context.set_offline(True)
    walker.page.goto(walker.url + "/bench/air-spring-service/")
    walker.sees("Kept copy of revision 1", "step 1 of 5")
    if lasts:
        assert "Tilda Trainee" in walker.page.content()
        walker.page.clock.set_fixed_time(walker.page.evaluate("Date.now() + 86400000"))
        walker.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    walker.page.get_by_text("Your sign-in has ended.").wait_for()
    assert "Tilda" not in walker.page.content()
    back_online(walker)


def test_whoever_signs_in_next_finds_nothing_of_somebody_who_forgot_to_sign_out(shop, walk):
    walker = kept_at_the_bench(shop, walk, shop.trainee)
    walker.context.clear_cookies()
    walker.sign_in(shop.mechanic).sees("Your levels")
    walker.page.wait_for_function(
        "async () => (await (await caches.match('/bench/owner'))?.text()) === 'mika'"
    )
    assert not [path for path, text in walker.page.evaluate(KEPT) if "Tilda" in text]
    offline(walker, "/bench/air-spring-service/").sees("None. A write-up is kept")
    back_online(walker)


@pytest.mark.parametrize(("takes_workers", "said"), [(True, "Yes. This"), (False, "Not yet.")])
def test_a_phone_is_told_whether_it_trusts_the_site(walk, settings, tmp_path, takes_workers, said):
    """A browser that only let a warning pass takes no worker, as the second one here."""
    settings.HOME, settings.OWN_CERTIFICATE = tmp_path, True
    certificates(tmp_path, ["bench-pc"], ["127.0.0.1"], datetime.datetime.now(datetime.UTC))
    walker = walk(worker=takes_workers).go("/trust/").sees(said)
    shown = walker.page.locator("#check [data-result]:visible")
    assert shown.count() == 1
    walker.press("Check again").sees(said)
    none = "navigator.serviceWorker.getRegistrations().then((found) => !found.length)"
    walker.page.wait_for_function(none)  # it is taken out again
    walker.context.set_offline(True)
    walker.press("Check again").sees("The site does not answer.")
    walker.context.set_offline(False)
    walker.complaints[:] = [text for text in walker.complaints if "ERR_INTERNET" not in text]
