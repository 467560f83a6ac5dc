"""Do two people declare an entry void, does what rested on it fall, and is everything found that a recall asks for?

No source outside for the shop's rules: the expectations follow from the standing's document (void, entitled, recall in
reverse), worked by hand in the small shop. Components of a graph: scipy.sparse.csgraph, a general-purpose library.
"""

import datetime
import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from procedures.refused import Refused
from tests.training.factories import PASSWORD
from tests.training.shop import NOW, TODAY, make_ready, proof, small_shop, watched_job
from training.actions import entries, signing
from training.actions.signing import Proof
from training.actions.voids import ask_for_void, decide_void
from training.keeping import faults
from training.models import SignOff, Void, VoidAsked
from training.reports import voids as reports
from training.reports.recall import Recalled, recall_page
from training.sheets import signing_sheet, standing_of
from training.standing.rings import components


@pytest.fixture
def shop(db, time_machine):
    time_machine.move_to(NOW, tick=False)
    return small_shop()


def sign(shop, person, signer=None):
    signer = signer or shop.senior
    sheet = signing_sheet(person=person, level=shop.level, signer=signer, limits={}, on=TODAY, now=NOW)
    return signing.sign_off(
        person=person, level=shop.level, signer=signer, limits={}, shown=sheet.digest, proof=proof(signer, sheet.digest), on=TODAY, now=NOW
    )


def asked_for(shop, by, kind="signoff", person=None, on=None, **more):
    person = person or shop.senior
    on = on or SignOff.objects.filter(person=person).first().happened_on
    about = f"void {kind} {person.pk} {shop.level.name} {on}"
    given = {"kind": kind, "person": person, "about": shop.level.name, "on": on, "reason": "Signed for the wrong fork."} | more
    return ask_for_void(by=by, proof=Proof(by.pk, about), now=NOW, **given)


def decide(asked, by, confirm=True, reason=""):
    return decide_void(asked=asked, confirm=confirm, by=by, reason=reason, proof=Proof(by.pk, f"decide void {asked.pk}"), today=TODAY, now=NOW)


def test_a_void_counts_only_when_a_second_person_has_confirmed_it(shop):
    asked = asked_for(shop, shop.other_senior)
    assert not Void.objects.exists()
    assert standing_of(shop.senior, shop.level, TODAY, NOW, {}) == "alone"
    decide(asked, shop.owner)
    assert standing_of(shop.senior, shop.level, TODAY, NOW, {}) == "no"
    assert list(faults()) == []


def test_what_rested_on_a_sign_off_is_shown_before_and_falls_with_it(shop):
    make_ready(shop, shop.trainee)
    sign(shop, shop.trainee)
    first = SignOff.objects.get(person=shop.senior)
    effect = reports.effect_of(kind="signoff", person=shop.senior, about=shop.level.name, on=first.happened_on, today=TODAY, now=NOW)
    kinds = {(one.login, one.said.partition(",")[0]) for one in effect.fell}
    assert kinds == {("tilda", "sign-off"), ("tilda", "observation"), ("tilda", "watched job")}
    # Tilda has read and passed, so she may still work watched; Sol has neither on record.
    assert {(one.login, one.before, one.after) for one in effect.changed} == {("tilda", "alone", "watched"), ("sol", "alone", "no")}
    decided = decide(asked_for(shop, shop.other_senior), shop.owner)
    assert standing_of(shop.trainee, shop.level, TODAY, NOW, {}) != "alone"
    after = reports.effect_of_decided(decided.void, now=NOW)
    assert {(one.login, one.said) for one in after.fell} == {(one.login, one.said) for one in effect.fell}


def test_who_asked_and_whom_it_is_about_do_not_decide(shop):
    asked = asked_for(shop, shop.other_senior)
    with pytest.raises(Refused, match="second person"):
        decide(asked, shop.other_senior)
    with pytest.raises(Refused, match="their own"):
        decide(asked, shop.senior)
    with pytest.raises(Refused, match="senior mechanic or the owner"):
        decide(asked, shop.mechanic)
    with pytest.raises(Refused, match="why it stays"):
        decide(asked, shop.owner, confirm=False)
    decide(asked, shop.owner, confirm=False, reason="It was right.")
    with pytest.raises(Refused, match="decided already"):
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
        ask_for_void(kind="signoff", person=shop.senior, about="x", on=TODAY, by=shop.owner, reason="x", proof=Proof(shop.owner.pk, "y"), now=NOW)


def test_the_pages_ask_and_decide_with_the_password(client, shop):
    on = SignOff.objects.get(person=shop.senior).happened_on
    client.force_login(shop.other_senior, backend="training.sign_in.ShopBackend")
    here = f"/voids/of/sol/signoff/air-spring/{on}/"
    assert here in client.get("/voids/of/sol/").text
    refused = client.post(here, {"reason": "Wrong fork.", "password": "wrong"})
    assert "not your password" in refused.text
    client.post(here, {"reason": "Wrong fork.", "password": PASSWORD})
    asked = VoidAsked.objects.get()
    client.force_login(shop.owner, backend="training.sign_in.ShopBackend")
    assert "Sol Senior" in client.get("/voids/").text
    client.post(f"/voids/{asked.pk}/", {"password": PASSWORD, "confirm": "yes"})
    page = client.get(f"/voids/{asked.pk}/").text
    assert "What fell with it" in page
    assert Void.objects.get().person == shop.senior


def test_a_recall_finds_every_job_and_observation_that_a_tool_or_person_touched(shop):
    watched_job(shop, shop.trainee)
    entries.record_job(
        person=shop.senior, level=shop.level, revision=shop.revision, on=TODAY, today=TODAY, watched_by=None,
        variant={"ring": "prong"}, by=shop.senior, now=NOW, tools=["TW-2"], note="Fork 7.",
    )  # fmt: skip
    by_tool = recall_page(Recalled(tool="TW-2"))
    assert [(row.login, row.kind, row.note) for row in by_tool.rows] == [("sol", "job", "Fork 7.")]
    by_person = recall_page(Recalled(person="sol"))
    assert {(row.login, row.kind) for row in by_person.rows} == {("sol", "job"), ("tilda", "job")}
    assert recall_page(Recalled(tool="TW-2", since=TODAY + datetime.timedelta(days=1))).rows == ()
    entries.record_job(
        person=shop.senior, level=shop.level, revision=None, on=TODAY, today=TODAY, watched_by=None,
        variant={"ring": "prong"}, by=shop.senior, now=NOW, note="Fork 8, revision not named.",
    )  # fmt: skip
    by_revision = recall_page(Recalled(writeup="air-spring-service", revision=1))
    assert {row.note for row in by_revision.rows if row.login == "sol"} == {"Fork 7.", "Fork 8, revision not named."}
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
