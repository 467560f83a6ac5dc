"""Do two people declare an entry void, does what rested on it fall, and is everything found that a
recall asks for?

No source outside for the shop's rules: the expectations follow from the standing's document (void,
entitled, recall in reverse), worked by hand in the small shop. Components of a graph:
scipy.sparse.csgraph, a general-purpose library.
"""

import datetime
import json
import re
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from procedures.records.refused import Refused
from quizzes.actions.questions import set_quiz_rules
from quizzes.models import Quiz
from quizzes.records.retry import hindrance
from tests.put_in import put_in
from tests.training.factories import PASSWORD
from tests.training.shop import (
    NOW,
    TODAY,
    found,
    make_ready,
    proof,
    sit,
    small_shop,
    void_asked,
    void_decided,
    watched_job,
)
from training.actions import entries, signing
from training.actions.signing import PasswordProof
from training.actions.voids import ask_for_void, decide_void, words_of_asking, words_of_deciding
from training.models import Job, Reading, SignOff, Void, VoidAsked, VoidDecided
from training.records.keeping import faults
from training.records.levels import standing_of
from training.records.sheets import signing_sheet
from training.records.void_sheets import void_sheet
from training.reports import voids as reports
from training.reports.recall import Recalled, recall_page
from training.standing.rings import components


@pytest.fixture
def shop(db, time_machine):
    time_machine.move_to(NOW, tick=False)
    return put_in(small_shop)


def sign(shop, person, signer=None, limits=None):
    signer, limits = signer or shop.senior, limits or {}
    sheet = signing_sheet(
        person=person, level=shop.level, signer=signer, limits=limits, on=TODAY, now=NOW
    )
    return signing.sign_off(
        person=person,
        level=shop.level,
        signer=signer,
        limits=limits,
        shown=sheet.digest,
        proof=proof(signer, sheet.digest),
        on=TODAY,
        now=NOW,
    )


def asked_for(shop, by, kind="signoff", person=None, on=None, **more):
    person = person or shop.senior
    on = on or SignOff.objects.filter(person=person).first().happened_on
    return void_asked(kind=kind, person=person, about=shop.level.name, on=on, by=by, **more)


decide = void_decided


def test_a_void_counts_only_when_a_second_person_has_confirmed_it(shop):
    asked = asked_for(shop, shop.other_senior)
    assert not Void.objects.exists()
    assert standing_of(shop.senior, shop.level, TODAY, NOW, {}) == "alone"
    decide(asked, shop.owner)
    assert standing_of(shop.senior, shop.level, TODAY, NOW, {}) == "no"
    assert list(faults()) == []


def test_an_entry_is_named_by_the_title_of_what_it_is_about(shop):
    make_ready(shop, shop.trainee)
    title = Reading.objects.filter(person=shop.trainee).first().revision.writeup.title
    said = {one.said for one in reports.entries_to_name(shop.trainee) if one.kind == "reading"}
    assert said == {f"reading, {title}"}


def test_what_rested_on_a_sign_off_is_shown_before_and_falls_with_it(shop):
    make_ready(shop, shop.trainee)
    sign(shop, shop.trainee)
    first = SignOff.objects.get(person=shop.senior)
    effect = reports.effect_of(
        kind="signoff",
        person=shop.senior,
        about=shop.level.name,
        on=first.happened_on,
        today=TODAY,
        now=NOW,
    )
    kinds = {(one.login, one.said.partition(",")[0]) for one in effect.fell}
    assert kinds == {("tilda", "sign-off"), ("tilda", "observation"), ("tilda", "supervised job")}
    # Tilda has read and passed, so she may still work watched; Sol has neither on record.
    assert {(one.login, one.before, one.after) for one in effect.changed} == {
        ("tilda", "alone", "watched"),
        ("sol", "alone", "no"),
    }
    decided = decide(asked_for(shop, shop.other_senior), shop.owner)
    assert standing_of(shop.trainee, shop.level, TODAY, NOW, {}) != "alone"
    after = reports.effect_of_decided(decided.void, now=NOW)
    assert {(one.login, one.said) for one in after.fell} == {
        (one.login, one.said) for one in effect.fell
    }


def test_what_changes_for_some_forks_only_is_told_too(shop):
    """Said to change for nobody, a sign-off for some forks would be cancelled in good faith."""
    make_ready(shop, shop.trainee)
    sign(shop, shop.trainee, limits={"ring": ["prong"]})
    effect = reports.effect_of(
        kind="signoff", person=shop.trainee, about="air-spring", on=TODAY, today=TODAY, now=NOW
    )
    assert [(one.login, one.title, one.before, one.after) for one in effect.changed] == [
        ("tilda", "Air-spring service (ring prong)", "alone", "watched")
    ]


def test_a_sitting_that_is_void_makes_nobody_wait(shop):
    """Somebody else sat at the trainee's tablet, once badly and once well."""
    set_quiz_rules(quiz=shop.quiz, size=4, wait_days=3, by=shop.owner, now=NOW)
    quiz = Quiz.objects.get(pk=shop.quiz.pk)
    sit(shop.trainee, quiz, wrong=("one", "all", "order", "torque"))
    assert hindrance(quiz, shop.trainee, TODAY).kind == "wait"
    asked = asked_for(shop, shop.other_senior, kind="pass", person=shop.trainee, on=TODAY)
    assert hindrance(quiz, shop.trainee, TODAY) is not None
    decide(asked, shop.owner)
    assert hindrance(quiz, shop.trainee, TODAY) is None
    later = NOW + datetime.timedelta(days=1)
    sit(shop.trainee, quiz, wrong=("torque",), now=later, today=later.date())
    good = later + datetime.timedelta(days=4)
    sit(shop.trainee, quiz, now=good, today=good.date())
    assert hindrance(quiz, shop.trainee, later.date()) is None
    asked = asked_for(shop, shop.other_senior, kind="pass", person=shop.trainee, on=good.date())
    decide(asked, shop.owner, now=good)
    assert hindrance(quiz, shop.trainee, later.date()).kind == "wait"


def test_who_asked_and_whom_it_is_about_do_not_decide(shop):
    asked = asked_for(shop, shop.other_senior)
    with pytest.raises(Refused, match="somebody else must decide"):
        decide(asked, shop.other_senior)
    with pytest.raises(Refused, match="your own"):
        decide(asked, shop.senior)
    with pytest.raises(Refused, match="senior mechanic or the owner"):
        decide(asked, shop.mechanic)
    with pytest.raises(Refused, match="why the entry stays"):
        decide(asked, shop.owner, confirm=False)
    decide(asked, shop.owner, confirm=False, reason="It was right.")
    with pytest.raises(Refused, match="has decided this already"):
        decide(asked, shop.owner)
    assert not Void.objects.exists()


def test_what_is_not_there_not_explained_or_asked_twice_is_refused(shop):
    with pytest.raises(Refused, match="no such entry"):
        asked_for(shop, shop.owner, on=TODAY + datetime.timedelta(days=1))
    with pytest.raises(Refused, match="Say why"):
        asked_for(shop, shop.owner, reason=" ")
    asked_for(shop, shop.owner)
    with pytest.raises(Refused, match="already"):
        asked_for(shop, shop.other_senior)
    with pytest.raises(Refused, match="something else"):
        ask_for_void(
            kind="signoff",
            person=shop.senior,
            about="x",
            on=TODAY,
            by=shop.owner,
            reason="x",
            shown="0" * 64,
            proof=PasswordProof(shop.owner.pk, "y"),
        )


def shown_on(page):
    return re.search(r'name="shown" value="([0-9a-f]{64})"', page.text)[1]


def test_the_pages_ask_and_decide_with_the_password(client, shop):
    on = SignOff.objects.get(person=shop.senior).happened_on
    client.force_login(shop.other_senior, backend="training.access.sign_in.ShopBackend")
    here = f"/voids/of/sol/signoff/air-spring/{on}/"
    assert here in client.get("/voids/of/sol/").text
    said = {"reason": "Wrong fork.", "shown": shown_on(client.get(here))}
    assert "not your password" in client.post(here, said | {"password": "wrong"}).text
    client.post(here, said | {"password": PASSWORD})
    asked = VoidAsked.objects.get()
    again = client.post(here, said | {"password": PASSWORD}, follow=True)
    assert "This was saved already. Nothing was saved twice." in again.text
    client.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
    assert "Sol Senior" in client.get("/voids/").text
    said = {
        "password": PASSWORD,
        "confirm": "yes",
        "shown": shown_on(client.get(f"/voids/{asked.pk}/")),
    }
    for _ in range(2):
        page = client.post(f"/voids/{asked.pk}/", said, follow=True)
    assert "This was saved already. Nothing was saved twice." in page.text
    assert "What else no longer counts" in page.text
    assert Void.objects.get().person == shop.senior


def test_the_page_names_every_entry_that_is_meant(client, shop):
    for note in ("Fork 7.", "Fork 8."):
        watched_job(shop, shop.trainee, note=note)
    client.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
    page = client.get(f"/voids/of/tilda/job/air-spring/{TODAY}/")
    for note in ("Fork 7.", "Fork 8."):
        assert f"job, supervised by Sol Senior: {note}" in page.text
    first = found(shop.owner, shop.level, shop.owner).happened_on
    page = client.get(f"/voids/of/odile/signoff/air-spring/{first}/")
    assert "First sign-off by the owner, Odile Owner, for themselves" in page.text


def test_jobs_that_came_in_after_the_page_was_opened_do_not_fall_with_it(
    client, shop, time_machine
):
    watched_job(shop, shop.trainee, note="Fork 7.")
    asked = asked_for(shop, shop.other_senior, kind="job", person=shop.trainee, on=TODAY)
    client.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
    here = f"/voids/{asked.pk}/"
    said = {"password": PASSWORD, "confirm": "yes", "shown": shown_on(client.get(here))}
    for number in (8, 9, 10):
        watched_job(shop, shop.trainee, note=f"Fork {number}.")
    page = client.post(here, said)
    assert "This page is out of date" in page.text
    assert page.text.count("(added after this was asked for)") == 3
    assert not Void.objects.exists()
    time_machine.move_to(NOW + datetime.timedelta(minutes=5), tick=False)
    client.post(here, said | {"shown": shown_on(page)})
    time_machine.move_to(NOW + datetime.timedelta(minutes=6), tick=False)
    later = watched_job(shop, shop.trainee, note="Fork 11.", now=None)
    assert later.recorded_at > Void.objects.get().recorded_at
    assert len(VoidDecided.objects.get().entries) == 4
    assert "Fork 11." not in client.get(here).text
    assert list(faults()) == []


def test_what_is_asked_for_is_what_was_shown(shop):
    watched_job(shop, shop.trainee)
    meant = {"kind": "job", "person": shop.trainee, "about": "air-spring", "on": TODAY}
    shown = void_sheet(**meant, signer=shop.owner).digest
    watched_job(shop, shop.trainee)
    with pytest.raises(Refused, match="This page is out of date"):
        void_asked(**meant, by=shop.owner, shown=shown)
    asked = void_asked(**meant, by=shop.owner)
    assert asked.entries == [f"job {pk}" for pk in Job.objects.values_list("pk", flat=True)]


@pytest.mark.parametrize("change", ["confirm", "reason", "shown", "by"])
def test_the_password_for_a_decision_serves_no_other(shop, change):
    asked = asked_for(shop, shop.other_senior)
    meant = {
        "kind": "signoff",
        "person": shop.senior,
        "about": "air-spring",
        "on": asked.happened_on,
    }
    found(shop.mechanic, shop.level, shop.owner)
    said = {
        "confirm": True,
        "reason": "Seen.",
        "shown": void_sheet(**meant, signer=shop.owner, asked=asked).digest,
        "by": shop.owner,
    }
    given = proof(shop.owner, words_of_deciding(said["shown"], True, "Seen."))
    other = {"confirm": False, "reason": "Not seen.", "shown": "0" * 64, "by": shop.mechanic}
    with pytest.raises(Refused, match="You typed this password for something else"):
        decide_void(asked=asked, proof=given, **said | {change: other[change]})


@pytest.mark.parametrize("change", ["reason", "shown", "by"])
def test_the_password_for_asking_serves_no_other(shop, change):
    on = SignOff.objects.get(person=shop.senior).happened_on
    meant = {"kind": "signoff", "person": shop.senior, "about": "air-spring", "on": on}
    said = {
        "reason": "Wrong fork.",
        "shown": void_sheet(**meant, signer=shop.owner).digest,
        "by": shop.owner,
    }
    given = proof(shop.owner, words_of_asking(said["shown"], "Wrong fork."))
    other = {"reason": "Another.", "shown": "0" * 64, "by": shop.other_senior}
    with pytest.raises(Refused, match="You typed this password for something else"):
        ask_for_void(**meant, proof=given, **said | {change: other[change]})


def test_asked_for_again_after_a_no_is_another_void(shop):
    first = asked_for(shop, shop.other_senior)
    decide(first, shop.owner, confirm=False, reason="It was right.")
    second = asked_for(shop, shop.other_senior)
    assert first.shown_digest != second.shown_digest


def test_a_recall_finds_every_job_and_observation_that_a_tool_or_person_touched(shop):
    watched_job(shop, shop.trainee)
    entries.record_job(
        person=shop.senior,
        level=shop.level,
        revision=shop.revision,
        on=TODAY,
        today=TODAY,
        watched_by=None,
        variant={"ring": "prong"},
        by=shop.senior,
        now=NOW,
        tools=["TW-2"],
        note="Fork 7.",
    )
    by_tool = recall_page(Recalled(tool="TW-2"))
    assert [(row.login, row.kind, row.note) for row in by_tool.rows] == [("sol", "job", "Fork 7.")]
    by_person = recall_page(Recalled(person="sol"))
    assert {(row.login, row.kind) for row in by_person.rows} == {("sol", "job"), ("tilda", "job")}
    assert recall_page(Recalled(tool="TW-2", since=TODAY + datetime.timedelta(days=1))).rows == ()
    entries.record_job(
        person=shop.senior,
        level=shop.level,
        revision=None,
        on=TODAY,
        today=TODAY,
        watched_by=None,
        variant={"ring": "prong"},
        by=shop.senior,
        now=NOW,
        note="Fork 8, revision not named.",
    )
    by_revision = recall_page(Recalled(writeup="air-spring-service", revision=1))
    assert {row.note for row in by_revision.rows if row.login == "sol"} == {
        "Fork 7.",
        "Fork 8, revision not named.",
    }
    assert recall_page(Recalled(writeup="air-spring-service", revision=2)).rows == ()
    assert list(faults()) == []


def test_the_command_says_the_same_as_the_page(shop):
    watched_job(shop, shop.trainee)
    out = StringIO()
    call_command("recall", person="sol", format="json", stdout=out)
    told = json.loads(out.getvalue())
    assert [(row["login"], row["kind"]) for row in told["rows"]] == [("tilda", "job")]
    with pytest.raises(CommandError, match="Name what"):
        call_command("recall")
    with pytest.raises(CommandError, match="Nobody here"):
        call_command("recall", person="sool")
    with pytest.raises(CommandError, match="no write-up"):
        call_command("recall", revision="air-sprong")


@given(st.sets(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=24))
def test_components_are_those_of_a_general_purpose_library(edges):
    import numpy as np
    from scipy.sparse import csr_matrix
    from scipy.sparse.csgraph import connected_components

    matrix = np.zeros((8, 8))
    graph = {str(number): set() for number in range(8)}
    for start, end in edges:
        matrix[start, end] = 1
        graph[str(start)].add(str(end))
    _, labels = connected_components(csr_matrix(matrix), directed=True, connection="strong")
    expected = {frozenset(str(n) for n in range(8) if labels[n] == label) for label in set(labels)}
    assert set(components(graph)) == expected
