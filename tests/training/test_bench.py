"""Does the bench view hold at its hold points, keep what was typed, and write a job down once?

No outside source: what is expected follows from the write-up below and from the shop's own rules.
"""

import json

import pytest
from django.urls import reverse

from procedures.actions.studying import keep_fork
from tests.procedures.factories import TEXT, RevisionFactory
from tests.training.shop import NOW, TODAY, small_shop
from training.models import BenchPlace, BookEntry, Job, Taken

HELD = TEXT.format(title="Air-spring service").replace(
    "makes: shaft guarded\n", "makes: shaft guarded\nhold: yes\ntorque: 28 ± 2 N·m\n"
)


@pytest.fixture
def shop(db, time_machine, client):
    time_machine.move_to(NOW, tick=False)
    shop = small_shop()
    keep_fork(revision=shop.revision, person=shop.trainee, chosen={"ring": "prong"})
    client.force_login(shop.trainee, backend="training.access.sign_in.ShopBackend")
    return shop


@pytest.fixture
def held(shop):
    """The write-up again, as a later revision with a hold point and a torque in its second step."""
    return RevisionFactory(
        writeup=shop.revision.writeup, number=3, text=HELD, released=True, released_on=TODAY
    )


def at(name, shop):
    return reverse(f"training:{name}", args=[shop.revision.writeup.name])


def sent(shop, **more):
    return {
        "mark": "a" * 32,
        "revision": shop.revision.number,
        "fork": json.dumps({"ring": "prong"}),
        "given": "{}",
        "on": "2026-11-25",
        "watched_by": shop.senior.login,
        "note": "",
        "tools": "",
        "login": shop.trainee.login,
        **more,
    }


def test_one_step_stands_on_the_screen_and_says_how_far_it_is(client, shop):
    page = client.get(at("bench", shop) + "?step=2").text
    shown = [part.split(">")[0] for part in page.split('<section class="screen"')[1:]]
    assert [place for place, tag in enumerate(shown, start=1) if not tag.endswith("hidden")] == [2]
    assert "step 2 of 5" in page  # six steps, of which one is for another ring


def test_it_asks_for_the_fork_first(client, shop):
    client.force_login(shop.mechanic, backend="training.access.sign_in.ShopBackend")
    page = client.get(at("bench", shop)).text
    assert "Which fork or shock is it?" in page
    assert "step 1 of" not in page


def test_a_hold_point_stops_until_it_is_ticked(client, shop, held):
    common = {
        "revision": held.number,
        "fork": '{"ring": "prong"}',
        "step": "2",
        "go": "next",
        "value-guard-shaft-1": "31",
    }
    page = client.post(at("bench-keep", shop), common, follow=True)
    assert (page.context["at"], page.context["page"].given) == ("2", {"value-guard-shaft-1": "31"})
    assert "until the mechanic who watches has looked. Tick it" in page.text
    assert client.get(at("bench", shop) + "?step=5").context["at"] == "2"
    page = client.post(at("bench-keep", shop), common | {"held-guard-shaft": "yes"}, follow=True)
    assert page.context["at"] == "3"


def test_a_value_says_its_range_and_goes_into_the_job(client, shop, held):
    page = client.get(at("bench", shop)).text
    assert 'data-low="26" data-high="30"' in page
    given = json.dumps({"value-guard-shaft-1": "28.5", "value-nothing-1": "9"})
    assert (
        client.post(
            at("bench-job", shop), sent(shop, revision=held.number, given=given)
        ).status_code
        == 302
    )
    job = Job.objects.order_by("pk").last()
    assert [(row["step"], row["value"]) for row in job.values] == [("guard-shaft", "28.5")]
    assert (job.revision, job.variant, job.watched_by) == (held, {"ring": "prong"}, shop.senior)


def test_a_job_sent_twice_is_written_down_once(client, shop):
    before, entries = Job.objects.count(), BookEntry.objects.count()
    for done in (
        "The job is logged. It counts when Sol Senior has confirmed it.",
        "This was saved already. Nothing was saved twice.",
    ):
        said = client.post(
            at("bench-job", shop), sent(shop), headers={"accept": "application/json"}
        ).json()
        assert said == {"done": done}
    assert (Job.objects.count(), BookEntry.objects.count(), Taken.objects.count()) == (
        before + 1,
        entries + 1,
        1,
    )
    client.post(at("bench-job", shop), sent(shop, mark="b" * 32))
    assert Job.objects.count() == before + 2


def test_a_refusal_is_told_and_what_was_typed_stays(client, shop):
    alone = sent(shop, watched_by="", note="Scratch on the left shaft")
    before = Job.objects.count()
    page = client.post(at("bench-job", shop), alone)
    assert "Choose the mechanic who watched" in page.text
    assert "Scratch on the left shaft" in page.text
    said = client.post(at("bench-job", shop), alone, headers={"accept": "application/json"}).json()
    assert "Choose the mechanic who watched" in said["refused"]
    assert Job.objects.count() == before


def test_a_job_of_somebody_else_waits(client, shop):
    before = Job.objects.count()
    said = client.post(
        at("bench-job", shop), sent(shop, login="sam"), headers={"accept": "application/json"}
    ).json()
    assert said["not_mine"] is True
    assert Job.objects.count() == before


def test_the_current_revision_is_told_and_a_place_in_a_retired_one_is_not_taken_over(client, shop):
    client.post(
        at("bench-keep", shop),
        {"revision": shop.revision.number, "fork": '{"ring": "prong"}', "step": "3"},
    )
    assert BenchPlace.objects.get().step == 3
    RevisionFactory(
        writeup=shop.revision.writeup, number=3, text=HELD, released=True, released_on=TODAY
    )
    assert client.get(at("bench-current", shop)).json()["revision"] == 3
    page = client.get(at("bench", shop))
    assert page.context["at"] == "1"
    assert "start it from step 1" in page.text


def test_a_draft_is_not_taken_to_the_bench(client, shop):
    RevisionFactory(writeup=shop.revision.writeup, number=3, text=HELD)
    assert client.post(at("bench-keep", shop), {"revision": "3"}).status_code == 404
    assert client.get(at("bench-current", shop)).json()["revision"] == shop.revision.number


def test_the_worker_may_serve_the_whole_site_and_a_browser_asks_for_it_anew(client, shop):
    answer = client.get("/bench/worker.js")
    assert (answer["Content-Type"], answer["Service-Worker-Allowed"]) == ("text/javascript", "/")
    assert answer["Cache-Control"] == "no-cache"
    assert "worker-src 'self'" in client.get(at("bench", shop))["Content-Security-Policy"]
