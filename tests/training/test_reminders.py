"""Does the daily mail reach those who want it, once a day, and say nothing about others?

It goes to a real mail server on this machine (aiosmtpd), and is read by Python's own mail parser.
"""

import datetime
import json
import re
import smtplib
from dataclasses import replace

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import Client

from procedures.records.refused import Refused
from tests.training.shop import LONG_AGO, NOW, TERMS, TODAY, found, make_ready, wish_mail
from training.actions import rota
from training.actions.levels import set_level
from training.actions.plan import accept_plan
from training.actions.reminders import note_end, set_wish, take_day
from training.cover.plan import PlannedLine
from training.exchange.sending import reminders
from training.models import MailWish, Reminder
from training.reports.reminders import printed_list

DAY = datetime.timedelta(days=1)
# 24 months after 5 Jan 2026 the first sign-off runs out; this is within the thirty days before.
SOON = datetime.datetime(2027, 12, 20, 9, 30, tzinfo=datetime.UTC)


@pytest.fixture
def mika(shop):
    """The mechanic, who wants the mail: signed off since January, with a line of the plan."""
    found(shop.mechanic, shop.level, shop.owner)
    accept_plan(
        by=shop.owner, lines=[PlannedLine("mika", "air-spring", SOON.date(), SOON.date() + 5 * DAY)]
    )
    wish_mail(shop.mechanic, "mika@shop.example")
    return shop.mechanic


def remind(capsys):
    call_command("remind")
    return capsys.readouterr().out


def texts(mail):
    return [mail.get_body((kind,)).get_content() for kind in ("plain", "html")]


def test_the_mail_says_what_runs_out_and_what_is_planned_and_names_nobody_else(
    shop, mika, mail_server, clock, capsys
):
    make_ready(shop, shop.trainee)
    clock.move_to(SOON)
    assert remind(capsys) == "mika: sent\n"
    ((to, mail),) = mail_server.mails
    assert to == ["mika@shop.example"]
    assert mail["Auto-Submitted"] == "auto-generated"
    for text in texts(mail):
        assert "Air-spring service: signed off until 5 Jan 2028." in text
        assert "Air-spring service: planned for 20 Dec 2027 to 25 Dec 2027." in text
        for other in ("Tilda", "tilda", "Sol Senior", "Odile"):
            assert other not in text


def test_what_waits_for_a_senior_is_counted_and_not_named(shop, mail_server, capsys):
    make_ready(shop, shop.trainee)
    wish_mail(shop.senior, "sol@shop.example")
    remind(capsys)
    ((_, mail),) = mail_server.mails
    for text in texts(mail):
        assert "1 person waits for an observation or a sign-off by you." in text
        assert "Tilda" not in text


def test_the_owner_hears_which_days_of_the_week_are_short(shop, mail_server, capsys):
    rota.set_shift(
        person=shop.senior, workshop=shop.workshop, weekdays=["mon"], first=LONG_AGO, by=shop.owner
    )
    rota.set_want(
        workshop=shop.workshop, level=shop.level, counts={"mon": 2, "tue": 1}, by=shop.owner
    )
    for person, name in ((shop.owner, "odile"), (shop.senior, "sol")):
        wish_mail(person, f"{name}@shop.example")
    remind(capsys)
    said = {to[0]: mail.get_body(("plain",)).get_content() for to, mail in mail_server.mails}
    # From Wednesday, 25 Nov 2026, on, seven days: one Monday and one Tuesday.
    assert (
        "Air-spring service, Test Workshop: 2 days, 30 Nov 2026 to 1 Dec 2026"
        in (said["odile@shop.example"])
    )
    assert "Short days" not in said.get("sol@shop.example", "")


def test_nobody_gets_two_on_a_day_even_of_two_timers_at_one_moment(
    mika, mail_server, capsys, monkeypatch, clock
):
    once = reminders.write_mail

    def meanwhile(wish, told):
        monkeypatch.setattr(reminders, "write_mail", once)
        call_command("remind")  # the second timer, while the first one has not sent yet
        return once(wish, told)

    monkeypatch.setattr(reminders, "write_mail", meanwhile)
    clock.move_to(SOON)
    assert remind(capsys).splitlines() == [
        "mika: nothing done, today it is already: taken, and not ended",
        "mika: sent",
    ]
    assert remind(capsys) == "mika: nothing done, today it is already: sent\n"
    assert len(mail_server.mails) == 1
    clock.move_to(SOON + DAY)
    remind(capsys)
    assert len(mail_server.mails) == 2


def test_what_the_server_did_not_take_is_told_and_tried_again(mika, mail_server, capsys, clock):
    clock.move_to(SOON)
    mail_server.answers = ["451 4.3.2 Come back later"]
    with pytest.raises(CommandError, match="Not sent, and tried again next time: mika"):
        call_command("remind")
    assert "Come back later" in capsys.readouterr().out
    row = Reminder.objects.get()
    assert (row.state, "Come back later" in row.told) == ("failed", True)
    assert remind(capsys) == "mika: sent\n"
    assert len(mail_server.mails) == 1


def test_a_server_that_is_away_is_tried_again_and_one_that_goes_silent_is_not(
    mika, mail_server, settings, capsys, clock, monkeypatch
):
    clock.move_to(SOON)
    port, settings.EMAIL_PORT = settings.EMAIL_PORT, 1
    with pytest.raises(CommandError):
        call_command("remind")
    assert Reminder.objects.get().state == "failed"
    settings.EMAIL_PORT = port

    def gone(*args, **more):
        raise smtplib.SMTPServerDisconnected("Connection unexpectedly closed")

    with monkeypatch.context() as patched:
        patched.setattr(smtplib.SMTP, "sendmail", gone)  # after the mail, before the answer
        assert "perhaps sent" in remind(capsys)
    assert "already: perhaps sent" in remind(capsys)
    assert mail_server.mails == []


def test_nobody_gets_a_mail_who_did_not_ask_or_has_left(shop, mika, mail_server, capsys, clock):
    clock.move_to(SOON)
    assert not MailWish.objects.exclude(person=mika).exists()
    mika.left = TODAY
    mika.save()
    assert remind(capsys) == "Nobody wants a daily mail.\n"
    assert mail_server.mails == []


@pytest.mark.parametrize(
    "address",
    ["mika@shop.example\nBcc: all@shop.example", "mika@shop.example, x@y.example", "mika", ""],
)
def test_an_address_that_is_none_is_refused(shop, address):
    with pytest.raises(Refused):
        set_wish(person=shop.mechanic, address=address, is_wanted=True, now=NOW)


def test_no_name_slips_a_header_in(shop, mika, mail_server, capsys, clock):
    """RFC 5322, 2.2: a line break ends a header. The rows go past the checks of the forms."""
    clock.move_to(SOON)
    type(shop.workshop).objects.update(name="Shop\r\nBcc: all@shop.example\r\n\r\nBuy")
    type(mika).objects.filter(pk=mika.pk).update(name="Mika\nBcc: all@shop.example<b>")
    remind(capsys)
    ((to, mail),) = mail_server.mails
    assert to == ["mika@shop.example"]
    assert mail["Bcc"] is None
    assert "<b>" not in texts(mail)[1].replace("<body>", "")
    MailWish.objects.update(address="mika@shop.example\nBcc: all@shop.example")
    Reminder.objects.all().delete()
    with pytest.raises(CommandError):
        call_command("remind")
    assert len(mail_server.mails) == 1


def test_the_way_out_needs_no_signing_in_and_opens_nothing_else(mika, mail_server, capsys, clock):
    """RFC 8058: the header names one HTTPS address, and a POST there does it (3.1, 3.2)."""
    clock.move_to(SOON)
    remind(capsys)
    ((_, mail),) = mail_server.mails
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    address = re.fullmatch(r"<https://bench\.example(/\S+)>", mail["List-Unsubscribe"].strip())[1]
    assert f"https://bench.example{address}" in texts(mail)[0]
    stranger = Client(enforce_csrf_checks=True)
    assert stranger.get(address).status_code == 200
    assert MailWish.objects.get().is_wanted  # looking at it stops nothing
    forged = address[:-3] + "xx/"
    assert stranger.post(forged).status_code == 404
    done = stranger.post(address, {"List-Unsubscribe": "One-Click"})
    assert (done.status_code, MailWish.objects.get().is_wanted) == (200, False)
    assert stranger.get("/").status_code == 302
    # An address that changed takes the old link's right with it.
    set_wish(person=mika, address="new@shop.example", is_wanted=True, now=NOW)
    assert stranger.post(address).status_code == 404


def test_a_shop_without_mail_says_what_to_set_and_prints_a_list(mika, settings, clock, capsys):
    clock.move_to(SOON)
    settings.EMAIL_HOST = ""
    with pytest.raises(CommandError, match="BENCHRIGHT_MAIL_HOST"):
        call_command("remind")
    call_command("remind", list=True)
    said = capsys.readouterr().out
    assert (
        "Mika Mechanic, Test Workshop\n  - Air-spring service: signed off until 5 Jan 2028.\n"
        in (said)
    )
    call_command("remind", list=True, format="json")
    (told, *_) = json.loads(capsys.readouterr().out)
    assert (told["login"], told["name"]) == (mika.login, "Mika Mechanic")
    assert told["runs_out"] == ["Air-spring service: signed off until 2028-01-05."]


def test_two_levels_that_ask_the_same_are_both_on_the_printed_list(shop):
    set_level(name="travel-change", terms=replace(TERMS, title="Travel change"), now=NOW)
    (told,) = [one for one in printed_list(on=TODAY, now=NOW) if one.login == shop.trainee.login]
    jobs = [line for line in told.say_steps() if "supervised job" in line]
    assert [line.partition(":")[0] for line in jobs] == ["Air-spring service", "Travel change"]


def test_the_wish_is_ones_own_and_off_by_default(shop, as_):
    browser = as_(shop.mechanic)
    assert "checked" not in browser.get("/reminders/").text
    browser.post("/reminders/", {"address": "mika@shop.example", "is_wanted": "on"})
    wish = MailWish.objects.get()
    assert (wish.person, wish.address, wish.is_wanted) == (shop.mechanic, "mika@shop.example", True)


def test_a_run_that_was_cut_off_sends_no_second_mail(mika):
    assert take_day(person=mika, day=TODAY, now=NOW)
    assert not take_day(person=mika, day=TODAY, now=NOW)
    note_end(person=mika, day=TODAY, state="failed", told="away", now=NOW)
    assert take_day(person=mika, day=TODAY, now=NOW)
