"""Does each calendar program learn what it should, and nobody else anything?

What is written is read back by `ics`, a parser that shares no code with the library that writes.
Sections are of RFC 5545.
"""

import datetime
import re
import warnings

import ics
import pytest
from django.urls import reverse

from tests.training.shop import LONG_AGO, NOW, TODAY, found
from training.actions import rota
from training.actions.calendars import make_address
from training.actions.people import change_person
from training.actions.plan import accept_plan
from training.cover.plan import PlannedLine
from training.exchange.sending.calendars import write_calendar
from training.models import CalendarAddress, CalendarEvent

DAY = datetime.timedelta(days=1)


def read(body):
    """The events by what they say, as another program reads them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of that parser's own making
        calendar = ics.Calendar(body.decode())
    return {event.name: event for event in calendar.events}


def days(event):
    """The first day, and the last one, which a calendar writes as the day after (3.6.1)."""
    assert event.all_day
    return event.begin.date(), event.end.date() - DAY


def extra(event, name):
    return next((line.value for line in event.extra if line.name == name), None)


@pytest.fixture
def ask(client):
    def ask(secret, **headers):
        client.logout()  # calendar programs cannot sign in
        return client.get(reverse("training:calendar-feed", args=[secret]), headers=headers)

    return ask


@pytest.fixture
def mika(shop):
    """The mechanic, signed off from 5 Jan 2026 on, with a plan and an absence; the trainee too."""
    for person in (shop.mechanic, shop.trainee):
        found(person, shop.level, shop.owner)
        rota.add_absence(
            person=person,
            first=TODAY + DAY,
            until=TODAY + 3 * DAY,
            why="knee operation",
            by=shop.owner,
        )
    accept_plan(
        by=shop.owner, lines=[PlannedLine("mika", "air-spring", TODAY + 7 * DAY, TODAY + 9 * DAY)]
    )
    return shop.mechanic


def secret_of(person, *, is_shop=False):
    return make_address(person=person, is_shop=is_shop, now=NOW)


def test_a_person_gets_their_own_days_and_nothing_of_others(mika, ask):
    body = ask(secret_of(mika)).content
    events = read(body)
    assert {name: days(event) for name, event in events.items()} == {
        # 24 months from 5 Jan 2026, the last good day (rule 4 of the standing)
        "Air-spring service: last day signed off": (datetime.date(2028, 1, 5),) * 2,
        "Air-spring service: planned": (TODAY + 7 * DAY, TODAY + 9 * DAY),
        "Away": (TODAY + DAY, TODAY + 3 * DAY),
    }
    assert b"DTSTART;VALUE=DATE:20280105\r\n" in body  # a day, which no time zone moves (3.3.4)
    for other in (b"Tilda", b"tilda", b"Sol", b"sol", b"knee"):
        assert other not in body


def test_the_calendar_of_the_shop_names_everybody_and_is_for_owners_only(shop, mika, ask, client):
    secret = secret_of(shop.owner, is_shop=True)
    body = ask(secret).content
    assert {
        "Tilda Trainee, Air-spring service: last day signed off",
        "Mika Mechanic is away",
        "Mika Mechanic, Air-spring service: planned",
    } <= set(read(body))
    assert b"knee" not in body
    client.force_login(shop.senior, backend="training.access.sign_in.ShopBackend")
    client.post(reverse("training:calendar"), {"do": "make", "of": "shop"})
    assert not CalendarAddress.objects.filter(is_shop=True, person=shop.senior).exists()
    as_it_is = {
        name: getattr(shop.owner, name)
        for name in ("name", "trade", "workshop", "started", "left", "is_active")
    }
    mika.owner = True
    mika.save()
    change_person(person=shop.owner, by=mika, **as_it_is | {"trade": "senior"}, owner=False)
    assert ask(secret).status_code == 410


def test_a_change_is_told_as_a_change_and_what_falls_away_as_cancelled(shop, mika, ask, clock):
    secret = secret_of(mika)
    before = read(ask(secret).content)
    clock.move_to(NOW + DAY)
    accept_plan(
        by=shop.owner, lines=[PlannedLine("mika", "air-spring", TODAY + 8 * DAY, TODAY + 10 * DAY)]
    )
    rota.drop_absence(person=mika, pk=mika.absences.get().pk, by=shop.owner)
    after = read(ask(secret).content)
    assert {name: event.uid for name, event in after.items()} == {
        name: event.uid for name, event in before.items()
    }
    planned, away = after["Air-spring service: planned"], after["Away"]
    assert days(planned) == (TODAY + 8 * DAY, TODAY + 10 * DAY)
    assert extra(before["Air-spring service: planned"], "SEQUENCE") == "0"
    assert (extra(planned, "SEQUENCE"), extra(away, "SEQUENCE")) == ("1", "1")
    assert planned.last_modified.datetime == NOW + DAY
    assert (planned.status, away.status) == ("CONFIRMED", "CANCELLED")
    kept = after["Air-spring service: last day signed off"]
    assert (extra(kept, "SEQUENCE"), kept.last_modified.datetime) == ("0", NOW)
    clock.move_to(NOW + 90 * DAY)
    assert "Away" not in read(ask(secret).content)


def test_what_is_over_is_not_cancelled(mika, ask, clock):
    secret = secret_of(mika)
    ask(secret)
    clock.move_to(NOW + 35 * DAY)  # a month after the absence ended
    assert read(ask(secret).content)["Away"].status == "CONFIRMED"


def test_nothing_new_is_told_in_one_line_and_to_nobody_else(shop, mika, ask):
    secret = secret_of(mika)
    first = ask(secret)
    again = ask(secret, if_none_match=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    rota.add_absence(person=mika, first=TODAY, until=TODAY, by=shop.owner)
    assert ask(secret, if_none_match=first["ETag"]).status_code == 200
    for answer in (first, again):
        assert answer["Referrer-Policy"] == "no-referrer"
        assert "noindex" in answer["X-Robots-Tag"]
        assert answer["Cache-Control"] == "private, no-cache"


def test_an_address_is_shown_once_kept_nowhere_and_ends_with_the_next(shop, client, ask):
    client.force_login(shop.mechanic, backend="training.access.sign_in.ShopBackend")
    page = client.post(reverse("training:calendar"), {"do": "make"}).text
    secret = re.search(r"/calendar/([^/]+)\.ics", page).group(1)
    assert secret not in client.get(reverse("training:calendar")).text
    assert secret not in str(list(CalendarAddress.objects.values()))
    assert ask(secret).status_code == 200
    newer = secret_of(shop.mechanic)
    assert (ask(secret).status_code, ask(newer).status_code) == (410, 200)
    assert ask(newer[:-1]).status_code == ask("x" * 9000).status_code == 404
    shop.mechanic.left = TODAY - DAY
    shop.mechanic.save()
    assert ask(newer).status_code == 410


def test_a_program_that_asks_without_end_is_told_to_wait(shop, ask, monkeypatch, caplog):
    monkeypatch.setattr("training.access.calendars.MOST_A_MINUTE", 2)
    secret = secret_of(shop.mechanic)
    assert [ask(secret).status_code for _ in range(3)] == [200, 200, 429]
    assert ask(secret)["Retry-After"] == "60"  # it is 9:30:00
    assert secret not in caplog.text


def test_lines_are_folded_and_signs_of_the_language_escaped():
    """75 octets without the line break (3.1); backslash, semicolon, comma and line end (3.3.11)."""
    words = "Größe; Maß, \\ end\nnext " + "Größe größer " * 12
    row = CalendarEvent(
        key="plan/x",
        sequence=3,
        changed_at=NOW,
        first=LONG_AGO,
        until=LONG_AGO,
        summary=words.strip(),
        details="\u202eupside\x07 down",
    )
    body = write_calendar("Zweirad, Söhne; \r\nBEGIN:VEVENT", [row])
    lines = body.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert b"\n" not in b"".join(lines)
    assert lines.count(b"BEGIN:VEVENT") == 1
    unfolded = body.replace(b"\r\n ", b"").decode()
    assert "SUMMARY:Größe\\; Maß\\, \\\\ end\\nnext Größe" in unfolded
    assert "NAME:Zweirad\\, Söhne\\; \\nBEGIN:VEVENT\r\n" in unfolded
    (event,) = read(body).values()
    assert event.name == words.strip()
    assert event.description == "upside down"


def test_a_calendar_without_events_is_still_a_calendar():
    """It holds at least one component (3.6)."""
    body = write_calendar("Mika at the bench", [])
    assert read(body) == {}
    assert body.count(b"BEGIN:") == body.count(b"END:") > 1
