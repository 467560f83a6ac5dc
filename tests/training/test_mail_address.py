"""Is a mail address confirmed before a reminder goes there, and is no stranger's mailbox filled?"""

import datetime
import importlib
import re

from django.apps import apps
from django.core.management import call_command
from django.test import Client

from tests.training.shop import NOW, TODAY, wish_mail
from training.actions.reminders import MOST_OF_PERSON, MOST_TO_ADDRESS, set_wish
from training.models import MailWish, Reminder
from training.reports.confirm_mail import LINK_LIVES

DAY = datetime.timedelta(days=1)


def save(browser, address="mika@shop.example", **more):
    sent = {"address": address, "is_wanted": "on", **more}
    return browser.post("/reminders/", sent, follow=True).text


def again(browser):
    return browser.post("/reminders/", {"do": "link"}, follow=True).text


def plain(mail):
    return mail.get_body(("plain",)).get_content()


def link_in(mail):
    return re.search(r"https://bench\.example(/reminders/confirm/\S+)", plain(mail))[1]


def said_by_remind(capsys):
    call_command("remind")
    return capsys.readouterr().out


def test_no_reminder_goes_out_before_the_link_in_a_mail_was_opened(shop, as_, mail_server, capsys):
    browser = as_(shop.mechanic)
    assert "Waiting for you to open the link that we sent to mika@shop.example" in save(browser)
    ((to, mail),) = mail_server.mails
    assert to == ["mika@shop.example"]
    assert "Mika" not in plain(mail)  # it may be a stranger's address
    assert said_by_remind(capsys) == "mika: waits until the address is confirmed\n"
    stranger, link = Client(enforce_csrf_checks=True), link_in(mail)
    assert "Confirm the address" in stranger.get(link).text
    # A program that looks at links confirms none.
    assert MailWish.objects.get().confirmed_at is None
    seen = Client().post(link)
    assert "The daily reminders come to mika@shop.example" in seen.text
    assert (seen["Referrer-Policy"], len(mail_server.mails)) == ("no-referrer", 1)
    assert "The mails go to mika@shop.example" in browser.get("/reminders/").text
    assert said_by_remind(capsys) == "mika: sent\n"
    # The same one stays confirmed.
    assert save(browser).count("Saved. You get one mail a day.") == 1


def test_a_link_ends_works_once_and_only_for_the_address_it_went_to(shop, as_, mail_server, clock):
    browser = as_(shop.mechanic)
    save(browser)
    first = link_in(mail_server.mails[0][1])
    assert Client().get(first[:-4] + "xxx/").status_code == 404
    clock.move_to(NOW + LINK_LIVES + datetime.timedelta(seconds=1))
    assert Client().post(first).status_code == 410
    browser = as_(shop.mechanic)  # the session has ended meanwhile
    again(browser)
    second = link_in(mail_server.mails[1][1])
    save(browser, "other@shop.example")
    assert "This link no longer works" in Client().post(second).text
    assert MailWish.objects.get().confirmed_at is None
    third = link_in(mail_server.mails[2][1])
    assert [Client().post(third).status_code for _ in range(2)] == [200, 410]


def test_a_changed_address_tells_the_old_one_and_waits_again(shop, as_, mail_server, capsys):
    wish_mail(shop.mechanic, "mika@shop.example")
    save(as_(shop.mechanic), "new@elsewhere.example")
    assert [to for to, _ in mail_server.mails] == [["mika@shop.example"], ["new@elsewhere.example"]]
    told = plain(mail_server.mails[0][1])
    assert "no longer come to this address" in told
    assert "new@" not in told
    assert "waits until the address is confirmed" in said_by_remind(capsys)
    save(as_(shop.mechanic), "third@elsewhere.example")  # the second one was never confirmed
    assert [to for to, _ in mail_server.mails[2:]] == [["third@elsewhere.example"]]


def test_nobody_fills_a_mailbox_neither_alone_nor_together(shop, as_, mail_server, clock):
    written = ["Vic@far.example", "vic+a@far.example", "vic+b@FAR.example", "vic@far.example"]
    people = (shop.mechanic, shop.senior, shop.trainee, shop.owner)
    for person, address in zip(people, written, strict=True):
        said = save(as_(person), address)
    assert len(mail_server.mails) == MOST_TO_ADDRESS
    assert "Too many mails about addresses today" in said
    for number in range(MOST_OF_PERSON + 2):
        save(as_(shop.mechanic), f"far{number}@far.example")
    assert len(mail_server.mails) == MOST_TO_ADDRESS + MOST_OF_PERSON - 1
    clock.move_to(NOW + DAY)
    assert "A link is on its way" in again(as_(shop.mechanic))


def test_a_change_of_which_the_old_address_cannot_hear_is_refused(shop, as_, mail_server):
    wish = wish_mail(shop.mechanic, "mika@shop.example")
    for number in range(MOST_OF_PERSON):
        save(as_(shop.mechanic), f"far{number}@far.example")
    MailWish.objects.update(address=wish.address, confirmed_at=NOW)
    assert "Too many mails about addresses today" in save(as_(shop.mechanic), "x@far.example")
    assert MailWish.objects.get().address == wish.address


def test_what_the_mail_server_refuses_is_said_and_does_not_count(shop, as_, mail_server):
    mail_server.answers = ["554 5.7.1 No such mailbox"] * MOST_OF_PERSON
    assert "The mail server did not take the mail" in save(as_(shop.mechanic))
    for _ in range(MOST_OF_PERSON - 1):
        said = again(as_(shop.mechanic))
    assert "mika@shop.example is not confirmed yet" in said
    assert "A link is on its way" in again(as_(shop.mechanic))


def test_without_a_mail_server_it_says_so_and_the_timer_sends_the_link_later(
    shop, as_, mail_server, settings, capsys
):
    host, settings.EMAIL_HOST = settings.EMAIL_HOST, ""
    said = save(as_(shop.mechanic))
    assert "This site does not send mail yet" in said
    assert "Send the link" not in said.replace("The link for that is sent", "")
    settings.EMAIL_HOST = host
    for _ in range(2):
        assert said_by_remind(capsys) == "mika: waits until the address is confirmed\n"
    ((_, mail),) = mail_server.mails  # once
    assert Client().post(link_in(mail)).status_code == 200


def test_an_address_that_got_reminders_before_stays_confirmed(shop):
    for person, name in ((shop.mechanic, "mika"), (shop.senior, "sol"), (shop.owner, "odile")):
        set_wish(person=person, address=f"{name}@shop.example", is_wanted=True, now=NOW)
    MailWish.objects.update(mark="")
    for person, state in ((shop.mechanic, "sent"), (shop.senior, "failed")):
        Reminder.objects.create(person=person, day=TODAY + DAY, at=NOW + DAY, state=state)
    # Another mail.
    Reminder.objects.create(person=shop.owner, day=TODAY - DAY, at=NOW - DAY, state="sent")
    migration = importlib.import_module("training.migrations.0029_confirmed_mail")
    migration.confirm_where_reminders_went(apps, None)
    found = MailWish.objects.order_by("person__login").values_list(
        "person__login", "confirmed_at", "mark"
    )
    assert [(login, at, bool(mark)) for login, at, mark in found] == [
        ("mika", NOW + DAY, False),
        ("odile", None, True),
        ("sol", None, True),
    ]
