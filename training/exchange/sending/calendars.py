"""How is a calendar written down for calendar programs?

RFC 5545 by a library, which folds and escapes; names and how often to ask by RFC 7986. No METHOD:
by RFC 5546 a published one names an organizer, and nobody is invited here; without it DTSTAMP is
the moment of the last change (RFC 5545, 3.8.7.2), so that the file stays the same from one asking
to the next. All are whole days, which have no time zone: a day of the workshop is that day on every
phone.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, timedelta

from icalendar import Alarm, Calendar, Event, Timezone, vText

from procedures.writeup.letters import strip_hidden
from training.models import CalendarEvent

PRODUCT = "-//Benchright//Calendar of the shop//EN"
ASK_EVERY = timedelta(hours=6)
TOLD_BEFORE = timedelta(days=-14)
DAY = timedelta(days=1)
ZONE_FROM = date(2020, 1, 1)


def write_calendar(name: str, rows: Iterable[CalendarEvent]) -> bytes:
    """The calendar with these events, as the text that programs read (UTF-8, lines of at most 75
    octets).
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    # Twice, since programs older than RFC 7986 know only the second one.
    # As text: the library escapes only what it knows, and these two it does not.
    calendar.add("name", vText(strip_hidden(name)))
    calendar.add("x-wr-calname", vText(strip_hidden(name)))
    calendar.add("refresh-interval", ASK_EVERY, parameters={"VALUE": "DURATION"})
    for row in rows:
        calendar.add_component(_event(row))
    if not calendar.subcomponents:
        # A calendar without any component is none (RFC 5545, 3.6); a time zone shows nothing.
        calendar.add_component(Timezone.from_tzid("Etc/UTC", first_date=ZONE_FROM))
    return bytes(calendar.to_ical())


def _event(row: CalendarEvent) -> Event:
    event = Event()
    changed = row.changed_at.astimezone(UTC).replace(microsecond=0)
    event.add("uid", str(row.uid))
    event.add("dtstamp", changed)
    event.add("last-modified", changed)
    event.add("sequence", row.sequence)
    event.add("dtstart", row.first)
    event.add("dtend", row.until + DAY)  # the day after: RFC 5545, 3.6.1
    event.add("summary", strip_hidden(row.summary))
    if row.details:
        event.add("description", strip_hidden(row.details))
    event.add("status", "CANCELLED" if row.is_cancelled else "CONFIRMED")
    event.add("transp", "TRANSPARENT")  # it takes no hour of the day
    event.add("class", "PRIVATE")
    if row.key.startswith("runs-out/") and not row.is_cancelled:
        event.add_component(_alarm(row))
    return event


def _alarm(row: CalendarEvent) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", strip_hidden(row.summary))
    alarm.add("trigger", TOLD_BEFORE)
    return alarm
