"""Does the bench view hold at its hold points, keep what was typed, and write a job down once?

No outside source: what is expected follows from the write-up below and from the shop's own rules.
"""

import json
from html import unescape

import pytest
from django.urls import reverse

from procedures.actions.studying import keep_fork
from tests.procedures.factories import TEXT, RevisionFactory
from tests.put_in import put_in
from tests.training.shop import NOW, TODAY, small_shop
from training.models import BenchPlace, BookEntry, Job, Taken

HELD = TEXT.format(title="Air-spring service").replace(
    "makes: shaft guarded\n", "makes: shaft guarded\nhold: yes\ntorque: 28 ± 2 N·m\n"
)


@pytest.fixture
def shop(db, time_machine, client):
    time_machine.move_to(NOW, tick=False)
    shop = put_in(small_shop)
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
        "value-guard-shaft-1": "29",
    }
    page = client.post(at("bench-keep", shop), common, follow=True)
    assert (page.context["at"], page.context["page"].given) == ("2", {"value-guard-shaft-1": "29"})
    assert "until the mechanic who watches has looked. Tick it" in page.text
    assert client.get(at("bench", shop) + "?step=5").context["at"] == "2"
    page = client.post(at("bench-keep", shop), common | {"held-guard-shaft": "yes"}, follow=True)
    assert page.context["at"] == "3"


def test_a_value_says_its_range_and_goes_into_the_job(client, shop, held):
    page = client.get(at("bench", shop)).text
    assert 'data-low="26" data-high="30"' in page
    given = json.dumps(
        {"value-guard-shaft-1": "28.5", "value-nothing-1": "9", "held-guard-shaft": "yes"}
    )
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


# 28 ± 2 N·m is 26 to 30 N·m. 1 N·m = 8.8507 in·lbf (NIST SP 811, B.8: 1 lbf·in = 0.112 984 8 N·m),
# so 274.4 in·lbf are 31.0 N·m and 248 in·lbf are 28.0 N·m.
HOLD = {"held-guard-shaft": "yes"}
SURE = {"sure-guard-shaft-1": "yes"}
WHY = {"why-guard-shaft-1": "The wrench slipped; undone and told Sol."}


@pytest.mark.parametrize("typed", ["31", "25,9", "274.4 in·lbf", "31 N·m"])
def test_a_value_outside_its_range_goes_on_only_with_a_word_for_it(client, shop, held, typed):
    sent_so_far = {
        "revision": held.number,
        "fork": '{"ring": "prong"}',
        "step": "2",
        "go": "next",
        "value-guard-shaft-1": typed,
        **HOLD,
    }
    for more in ({}, SURE, WHY, {**WHY, "why-guard-shaft-1": "  ", **SURE}):
        page = client.post(at("bench-keep", shop), sent_so_far | more, follow=True)
        assert page.context["at"] == "2"
        assert "This is outside 28 ± 2 N·m." in page.text
    page = client.post(at("bench-keep", shop), sent_so_far | SURE | WHY, follow=True)
    assert page.context["at"] == "3"


def test_a_value_that_cannot_be_read_does_not_go_on(client, shop, held):
    common = {"revision": held.number, "fork": '{"ring": "prong"}', "step": "2", "go": "next"}
    for typed in ("tight", "28 bar", "28 feet"):
        page = client.post(
            at("bench-keep", shop), common | HOLD | {"value-guard-shaft-1": typed}, follow=True
        )
        assert page.context["at"] == "2"
    page = client.post(
        at("bench-keep", shop), common | HOLD | {"value-guard-shaft-1": "248 in·lbf"}, follow=True
    )
    assert page.context["at"] == "3"


@pytest.fixture
def critical(held):
    """The same revision text, in which the measured step is critical, as a later one."""
    text = HELD.replace("torque: 28", "critical: a loose shaft drops\ntorque: 28")
    return RevisionFactory(
        writeup=held.writeup, number=4, text=text, released=True, released_on=TODAY
    )


def test_a_critical_value_is_not_left_out(client, shop, critical):
    common = {"revision": 4, "fork": '{"ring": "prong"}', "step": "2", "go": "next", **HOLD}
    page = client.post(at("bench-keep", shop), common, follow=True)
    assert page.context["at"] == "2"
    assert "Fill in “torque”. It is critical" in page.text
    assert 'name="value-guard-shaft-1" value="" ' in " ".join(page.text.split())
    assert page.redirect_chain[0][0].endswith(
        "#value-guard-shaft-1"
    )  # a browser puts the focus there
    page = client.post(at("bench-keep", shop), common | {"value-guard-shaft-1": "28"}, follow=True)
    assert page.context["at"] == "3"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "Fill in “torque”"),
        ({"value-guard-shaft-1": "28"}, "until the mechanic who watches has looked"),
        (
            {"value-guard-shaft-1": "28", "held-guard-shaft": "no"},
            "mechanic who watches has looked",
        ),
        ({"value-guard-shaft-1": "40", **HOLD}, "This is outside 28 ± 2 N·m"),
        ({"value-guard-shaft-1": "40", **HOLD, **SURE}, "This is outside 28 ± 2 N·m"),
        ({"value-guard-shaft-1": "40", **HOLD, **WHY}, "This is outside 28 ± 2 N·m"),
        ({"value-guard-shaft-1": "very", **HOLD}, "not an amount"),
        ({"value-guard-shaft-1": {"a": 1}, **HOLD}, "not a unit that is known"),
        ([], "Fill in “torque”"),
    ],
)
def test_no_post_gets_a_job_past_what_is_missing(client, shop, critical, given, said):
    """Whoever writes the request by hand, or sends what an old kept copy still holds."""
    before = Job.objects.count()
    for headers in ({}, {"accept": "application/json"}):
        answer = client.post(
            at("bench-job", shop), sent(shop, revision=4, given=json.dumps(given)), headers=headers
        )
        told = answer.json()["refused"] if headers else unescape(answer.text)
        assert said in told
    assert Job.objects.count() == before


def test_a_job_without_its_fork_has_no_steps_and_is_refused(client, shop, critical):
    before = Job.objects.count()
    for fork in ("{}", "null", '{"ring": "none such"}', "[1]"):
        given = json.dumps({"value-guard-shaft-1": "28", **HOLD})
        answer = client.post(
            at("bench-job", shop),
            sent(shop, revision=4, given=given, fork=fork),
            headers={"accept": "application/json"},
        )
        assert "Choose which fork or shock it is" in answer.json()["refused"]
    assert Job.objects.count() == before


def test_the_job_keeps_that_it_was_measured_so_and_why(client, shop, critical):
    given = json.dumps({"value-guard-shaft-1": "31", **HOLD, **SURE, **WHY})
    said = client.post(
        at("bench-job", shop),
        sent(shop, revision=4, given=given),
        headers={"accept": "application/json"},
    ).json()
    assert "The job is logged." in said["done"]
    job = Job.objects.order_by("pk").last()
    assert job.values == [
        {
            "step": "guard-shaft",
            "name": "torque",
            "asked": "28 ± 2 N·m",
            "value": "31",
            "outside": "measured so",
            "reason": WHY["why-guard-shaft-1"],
        }
    ]
    assert WHY["why-guard-shaft-1"] in BookEntry.objects.order_by("number").last().body

    client.force_login(shop.senior, backend="training.access.sign_in.ShopBackend")
    page = client.get(reverse("training:watched-job", args=[job.pk])).text
    assert "torque 31, asked 28 ± 2 N·m" in page
    assert WHY["why-guard-shaft-1"] in page


def test_a_mark_of_somebody_elses_job_writes_nothing(client, shop, critical):
    given = json.dumps({"value-guard-shaft-1": "28", **HOLD})
    as_json = {"accept": "application/json"}
    client.post(at("bench-job", shop), sent(shop, revision=4, given=given), headers=as_json)
    before = Job.objects.count()
    client.force_login(shop.mechanic, backend="training.access.sign_in.ShopBackend")
    stolen = sent(shop, revision=4, given=given, login=shop.mechanic.login)
    said = client.post(at("bench-job", shop), stolen, headers=as_json).json()
    assert said["refused"]
    assert Job.objects.count() == before


def test_a_job_that_came_in_is_told_so_though_its_values_are_gone_now(client, shop, critical):
    """Sent again by the queue after the answer was lost: the mark counts, not the second text."""
    given = json.dumps({"value-guard-shaft-1": "28", **HOLD})
    as_json = {"accept": "application/json"}
    client.post(at("bench-job", shop), sent(shop, revision=4, given=given), headers=as_json)
    again = client.post(at("bench-job", shop), sent(shop, revision=4), headers=as_json).json()
    assert again == {"done": "This was saved already. Nothing was saved twice."}
