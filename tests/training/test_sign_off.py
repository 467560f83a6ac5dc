"""Does a signature say what it means, bind to what was shown, and come from nobody who may not?

The wishes behind these rules are published for another trade: printed name, moment and meaning (21
CFR 11.50), bound to the record (11.70), two parts of proof and counted misuse (11.200, 11.300),
nobody signs for their own work (14 CFR 121.371(c)), the signer holds the task (14 CFR 65.81(a)).
They inspired ours; we do not claim to conform.
"""

from dataclasses import replace
from html import unescape

import pytest
from django.urls import reverse

from procedures.records.refused import Refused
from tests.training.factories import PASSWORD
from tests.training.shop import (
    LONG_AGO,
    NOW,
    TERMS,
    TODAY,
    found,
    observe,
    proof,
    sit,
    void_asked,
    void_decided,
    watched_job,
)
from training.actions import entries, signing
from training.actions.levels import set_level
from training.models import SignOff
from training.records import sheets
from training.records.decisions import RuleShown
from training.records.keeping import faults
from training.records.sheets import signing_sheet
from training.reports.who_may import LevelAsked, who_may


def address(person, name="sign-off"):
    return reverse(f"training:{name}", args=["air-spring", person.login])


def sheet_of(shop, person, signer=None, *, limits=None, **more):
    return signing_sheet(
        person=person,
        level=shop.level,
        signer=signer or shop.senior,
        limits=limits or {},
        on=TODAY,
        now=NOW,
        **more,
    )


def sign(shop, person, signer=None, *, shown=None, given=None, sheet=None, **more):
    signer = signer or shop.senior
    sheet = sheet or sheet_of(shop, person, signer)
    shown = shown or sheet.digest
    return signing.sign_off(
        person=person,
        level=shop.level,
        signer=signer,
        limits=sheet.limits,
        shown=shown,
        proof=given or proof(signer, shown),
        on=TODAY,
        now=NOW,
        **more,
    )


def standing(person):
    told = who_may([LevelAsked("air-spring", TODAY, NOW, {})], person=person.login)
    return told[0]["people"][0]


def test_a_signature_makes_somebody_alone(shop, ready, as_):
    page = as_(shop.senior).get(address(ready))
    shown = page.context["sheet"].digest
    assert (
        "Tilda Trainee may do Air-spring service alone, on every fork the shop works on."
        in page.text
    )
    done = as_(shop.senior).post(address(ready), {"password": PASSWORD, "shown": shown, "note": ""})
    assert done.status_code == 302
    assert standing(ready)["standing"] == "alone"


def test_the_same_sheet_is_signed_once_and_said_so(shop, ready):
    shown = sheet_of(shop, ready).digest
    sign(shop, ready, shown=shown)
    with pytest.raises(Refused, match="has changed since you opened it"):
        sign(shop, ready, shown=shown)
    assert SignOff.objects.filter(person=ready).count() == 1


def test_it_keeps_name_moment_meaning_and_the_hash_of_what_was_shown(shop, ready):
    sheet = sheet_of(shop, ready)
    row = sign(shop, ready)
    row.refresh_from_db()
    assert (row.printed_name, row.recorded_at, row.meaning) == ("Sol Senior", NOW, sheet.meaning)
    assert row.shown_digest == sheet.digest
    assert list(faults()) == []


def test_a_wrong_password_signs_nothing(shop, ready, as_):
    shown = sheet_of(shop, ready).digest
    page = as_(shop.senior).post(address(ready), {"password": "not it", "shown": shown, "note": ""})
    assert "This is not your password. Nothing was signed." in page.text
    assert SignOff.objects.filter(person=ready).count() == 0


def test_after_five_wrong_passwords_the_right_one_is_refused_too(shop, ready, as_):
    shown, browser = sheet_of(shop, ready).digest, as_(shop.senior)
    for _ in range(5):
        browser.post(address(ready), {"password": "not it", "shown": shown, "note": ""})
    page = browser.post(address(ready), {"password": PASSWORD, "shown": shown, "note": ""})
    assert SignOff.objects.filter(person=ready).count() == 0
    assert "Too many wrong passwords. Nothing was signed. Try again in 5 seconds." in page.text


def test_nobody_signs_for_themselves(shop):
    with pytest.raises(Refused, match="You cannot sign for yourself"):
        sign(shop, shop.senior, shop.senior, shown="0" * 64)
    with pytest.raises(Refused, match="You cannot sign for yourself"):
        sign(shop, shop.owner, shop.owner, shown="0" * 64)


def test_the_address_for_oneself_shows_no_box_to_sign(shop, as_):
    page = as_(shop.senior).get(address(shop.senior))
    assert "You cannot sign for yourself. Ask somebody else." in page.text
    assert 'name="password"' not in page.text


def test_a_senior_without_appointment_does_not_sign(shop, ready):
    found(shop.other_senior, shop.level, shop.owner)
    with pytest.raises(Refused) as refused:
        sign(shop, ready, shop.other_senior)
    assert "is not appointed" in refused.value.details[0]


def test_a_senior_who_is_not_alone_does_not_sign(shop, ready):
    signing.appoint(
        person=shop.other_senior,
        level=shop.level,
        by=shop.owner,
        first=LONG_AGO,
        until=None,
        now=NOW,
    )
    with pytest.raises(Refused) as refused:
        sign(shop, ready, shop.other_senior)
    assert any("may not work alone" in detail for detail in refused.value.details)


def test_whoever_can_be_signed_off_for_one_fork_only_is_offered_for_it(shop, ready, as_):
    """The level asks for a supervised job on each kind of ring, and there is one on prong rings."""
    ask_for_each_option(shop)
    watched_job(shop, ready)
    browser = as_(shop.senior)
    for path in ("/", reverse("training:one", args=["air-spring", ready.login])):
        assert address(ready) in browser.get(path).text
    page = browser.get(address(ready))
    assert not page.context["sheet"].may_be_signed()
    assert "It can be signed for some forks." in page.text
    sheet = browser.get(address(ready), {"l-ring": "prong"}).context["sheet"]
    assert sheet.may_be_signed()
    assert sheet.limits == {"ring": ["prong"]}


def ask_for_each_option(shop):
    terms = replace(TERMS, watched_jobs=1, watched_per_option=True)
    set_level(name="air-spring", terms=terms, now=NOW, from_day=TODAY)


@pytest.mark.parametrize("trade", ["trainee", "mechanic", "owner"])
def test_only_a_senior_signs(shop, ready, trade):
    signer = getattr(shop, trade)
    with pytest.raises(Refused):
        sign(shop, shop.other_senior, signer, shown="0" * 64)


def test_what_is_missing_is_told_and_nothing_is_signed(shop):
    with pytest.raises(Refused) as refused:
        sign(shop, shop.trainee)
    told = " ".join(refused.value.details)
    for part in (
        "Not read yet",
        "Quiz of Air-spring service not passed",
        "0 of 1 supervised job done",
        "0 of 1 observation",
    ):
        assert part in told
    assert not SignOff.objects.filter(person=shop.trainee).exists()


def test_what_has_changed_since_it_was_shown_is_not_signed(shop, ready):
    shown = sheet_of(shop, ready).digest
    watched_job(shop, ready)
    with pytest.raises(Refused, match="This has changed"):
        sign(shop, ready, shown=shown)


def test_a_password_given_for_one_thing_signs_no_other(shop, ready):
    with pytest.raises(Refused, match="You typed this password for something else"):
        sign(shop, ready, given=proof(shop.senior, "something else"))
    shown = sheet_of(shop, ready).digest
    with pytest.raises(Refused, match="You typed this password for something else"):
        sign(shop, ready, given=proof(shop.other_senior, shown))


def test_a_founding_sign_off_says_on_what_proof_it_rests(shop, as_):
    sheet = sheet_of(shop, shop.mechanic, shop.owner, founding=True)
    data = {"password": PASSWORD, "shown": sheet.digest, "note": ""}
    assert (
        "what proof this first sign-off rests on"
        in as_(shop.owner).post(address(shop.mechanic, "founding"), data).text
    )
    data["note"] = "Certificate of another workshop, seen on paper."
    assert as_(shop.owner).post(address(shop.mechanic, "founding"), data).status_code == 302
    assert standing(shop.mechanic)["standing"] == "alone"


def test_a_sign_off_for_some_forks_covers_only_those(shop, ready, as_):
    query = "?l-ring=prong"
    page = as_(shop.senior).get(address(ready) + query)
    assert "on forks with ring prong" in page.text
    data = {"password": PASSWORD, "shown": page.context["sheet"].digest, "note": ""}
    assert as_(shop.senior).post(address(ready) + query, data).status_code == 302
    asked = [
        LevelAsked("air-spring", TODAY, NOW, {"ring": ring} if ring else {})
        for ring in ("prong", "eyelet", "")
    ]
    told = [answer["people"][0]["standing"] for answer in who_may(asked, person=ready.login)]
    assert told == ["alone", "watched", "watched"]


def test_who_may_sign_for_some_forks_finds_the_way_there(shop, ready, as_):
    """The senior is signed off for prongs alone: there is a button, and a sheet for these."""
    void = void_asked(
        kind="signoff", person=shop.senior, about="air-spring", on=LONG_AGO, by=shop.other_senior
    )
    void_decided(void, shop.owner)
    sheet = sheet_of(shop, shop.senior, shop.owner, founding=True, limits={"ring": ["prong"]})
    sign(shop, shop.senior, shop.owner, sheet=sheet, founding=True, note="Seen on paper.")
    one = f"/who-may/air-spring/{ready.login}/"
    page = as_(shop.senior).get(one).text
    assert f'href="{one}sign-off/"' in page
    assert "Observe a job" in page
    assert "<details open>" in as_(shop.senior).get(f"{one}sign-off/").text
    assert "Sign as Sol Senior" in as_(shop.senior).get(f"{one}sign-off/?l-ring=prong").text
    assert "/sign-off/" not in as_(shop.other_senior).get(one).text


def test_forks_that_cannot_be_read_are_not_every_fork(shop, ready, as_):
    """An option that a write-up no longer has: nothing is signed in its place."""
    senior, query = as_(shop.senior), "?l-ring=bayonet"
    page = senior.get(address(ready) + query)
    assert "bayonet is not one of the available choices" in page.text
    assert "Sign as" not in page.text
    data = {"password": PASSWORD, "shown": sheet_of(shop, ready).digest, "note": ""}
    assert senior.post(address(ready) + query, data).status_code == 200
    assert not SignOff.objects.filter(person=ready).exists()


def test_an_observation_with_a_prompted_critical_line_is_not_right(shop):
    entries.record_reading(person=shop.trainee, revision=shop.revision, on=TODAY, now=NOW)
    sit(shop.trainee, shop.quiz)
    watched_job(shop, shop.trainee)
    assert observe(shop, shop.trainee, "prompted").right is False
    with pytest.raises(Refused) as refused:
        sign(shop, shop.trainee)
    assert refused.value.details == ("0 of 1 observation done right.",)


def test_the_page_says_why_now_and_each_rule_with_its_evidence_and_who_saw_it(shop, ready, as_):
    decision = sheet_of(shop, ready).decision
    page = unescape(as_(shop.senior).get(address(ready)).text)
    said = [*decision.why_now, *decision.exceptions]
    for rule in decision.rules:
        said += [rule.asks, *rule.says]
        assert rule.holds
        assert rule.says or "down" in rule.asks or "here" in rule.asks, rule
    for text in said:
        assert text[1:] in page, text
    told = " ".join(text for rule in decision.rules for text in rule.says)
    assert "supervised by Sol Senior" in told
    assert "observed by Sol Senior" in told
    assert "100 %" in told
    assert any("signed off" in text for text in decision.why_now)


def test_what_is_missing_comes_first_with_its_number(shop, as_):
    observe(shop, shop.trainee)
    rules = sheet_of(shop, shop.trainee).decision.rules
    outcomes = [rule.holds for rule in rules]
    assert outcomes == sorted(outcomes)
    assert outcomes[0] is False
    page = as_(shop.senior).get(address(shop.trainee)).text
    assert page.index("<b>no</b>") < page.index(">yes<")


def test_what_is_out_of_the_ordinary_is_shown_and_signed(shop, ready, as_):
    """A job whose value lay outside, and one that came back, bind the signature like all else."""
    before = sheet_of(shop, ready)
    assert before.decision.exceptions == ()
    value = {"name": "torque", "asked": "28 ± 2 N·m", "value": "31", "outside": "measured so"}
    entries.record_job(
        person=ready,
        level=shop.level,
        revision=shop.revision,
        on=TODAY,
        watched_by=shop.senior,
        variant={"ring": "prong"},
        by=shop.senior,
        now=NOW,
        values=[value | {"step": "guard-shaft", "reason": "Told Sol."}],
        came_back=True,
    )
    after = sheet_of(shop, ready)
    assert any(
        "torque 31, outside 28 ± 2 N·m: Told Sol." in one for one in after.decision.exceptions
    )
    assert any("came back" in one for one in after.decision.exceptions)
    assert after.digest != before.digest
    page = unescape(as_(shop.senior).get(address(ready)).text)
    assert page.index("Look at these first") < page.index("What the level asks")
    assert "torque 31, outside 28 ± 2 N·m: Told Sol." in page


def test_no_word_of_the_decision_is_outside_the_digest(shop, ready, monkeypatch):
    """Another word in any part of it, and the signature no longer fits."""
    shown = sheet_of(shop, ready)
    for part in ("why_now", "exceptions", "rules"):
        more = (RuleShown("Another.", True, ()),) if part == "rules" else ("Another.",)
        other = replace(shown.decision, **{part: (*getattr(shown.decision, part), *more)})
        monkeypatch.setattr(sheets, "decision_on", lambda *_, other=other: other)
        assert sheet_of(shop, ready).digest != shown.digest, part
        with pytest.raises(Refused, match="has changed since you opened it"):
            sign(shop, ready, shown=shown.digest)
