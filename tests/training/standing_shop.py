"""How does a test write down a small shop in a few lines?"""

from dataclasses import fields, replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

from training.records.wording.entries import say_entry
from training.standing import evidence as ev
from training.standing.answer import answer

TODAY = date(2026, 11, 25)
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)

_FIELD_OF = {
    ev.Person: "people",
    ev.LevelRules: "levels",
    ev.RevisionFact: "revisions",
    ev.Appointment: "appointments",
    ev.Reading: "readings",
    ev.Passing: "passings",
    ev.Job: "jobs",
    ev.Observation: "observations",
    ev.SignOff: "signoffs",
    ev.StandDown: "standdowns",
    ev.Void: "voids",
}


def _flat(rows):
    for row in rows:
        yield from _flat(row) if type(row) in (list, tuple) else (row,)


def shop(*rows, time_zone="UTC", options=None):
    """A shop of these rows, in any order; lists of rows are taken apart."""
    parts = {name: [] for name in _FIELD_OF.values()}
    for row in _flat(rows):
        parts[_FIELD_OF[type(row)]].append(row)
    return ev.Shop(
        **{name: tuple(part) for name, part in parts.items()},
        time_zone=time_zone,
        options=options or {},
    )


def with_rows(old, *rows):
    """The same shop with further rows."""
    kept = {f.name: getattr(old, f.name) for f in fields(old) if f.init}
    for row in rows:
        kept[_FIELD_OF[type(row)]] += (row,)
    return ev.Shop(**kept)


def day(text):
    return text if isinstance(text, date) else date.fromisoformat(text)


def noon(on):
    return datetime.combine(day(on), time(12), UTC)


def days(on, number):
    return day(on) + timedelta(days=number)


def person(login, started="2020-01-01", left=None):
    return ev.Person(
        login, login.title(), "main", "mechanic", started and day(started), left and day(left)
    )


def level(name="air", **changes):
    asked = ev.LevelRules(level=name, title=f"Level {name}", valid_months=24)
    return replace(asked, **changes)


def revision(number, released, asks="nothing", writeup="sheet", at=None):
    return ev.RevisionFact(writeup, number, day(released), asks, at)


def appoint(who, lvl="air", first="2020-01-01", until=None, recorded=None, ends=()):
    recorded = recorded or noon(first)
    return ev.Appointment(
        who, lvl, "owner", day(first), until and day(until), recorded, tuple(ends)
    )


def read(who, number, on, writeup="sheet", recorded=None):
    return ev.Reading(who, writeup, number, day(on), recorded or noon(on))


def sat(who, on, percent=100, critical_right=True, lvl="air", recorded=None):
    return ev.Passing(who, lvl, day(on), Decimal(percent), critical_right, recorded or noon(on))


AT_ONCE = object()


def job(
    who,
    on,
    lvl="air",
    watched_by=None,
    recorded=None,
    came_back=False,
    confirmed=AT_ONCE,
    **variant,
):
    """A job; a watched one counts from its recording, unless told when it was confirmed (None:
    never).
    """
    recorded = recorded or noon(on)
    counts_from = recorded if confirmed is AT_ONCE else confirmed
    return ev.Job(
        who, lvl, day(on), watched_by, tuple(variant.items()), came_back, recorded, counts_from
    )


def seen(who, on, observer="sol", right=True, lvl="air", recorded=None, writeup="", names=""):
    """An observation; of no write-up that is named, or of one whose header names a level."""
    return ev.Observation(who, lvl, day(on), observer, right, recorded or noon(on), writeup, names)


def sign(who, on, signer=None, lvl="air", recorded=None, **limits):
    """A sign-off; without a signer a founding one. Limits: ring="prong" or ring=("prong",
    "eyelet").
    """
    limits = tuple(
        (name, (opts,) if isinstance(opts, str) else tuple(opts)) for name, opts in limits.items()
    )
    founding = signer is None
    return ev.SignOff(who, lvl, day(on), signer or "owner", limits, founding, recorded or noon(on))


def stand_down(who, first, lifted=None, lvl=None, recorded=None, lift_recorded=None):
    return ev.StandDown(
        who, lvl, day(first), "sol", recorded or noon(first), lifted and day(lifted), lift_recorded
    )


def void(kind, who, about, on, recorded):
    return ev.Void(kind, who, about, day(on), recorded)


def ask(of, who="ana", lvl="air", on=TODAY, known_at=None, **variant):
    """The answer, known late in the day that is asked about unless told otherwise."""
    return answer(of, who, lvl, day(on), known_at or noon(on) + timedelta(hours=11), variant)


def named(evidence):
    """The names of entries, as people read them."""
    return tuple(map(say_entry, evidence))


def codes(answered):
    return [reason.code for reason in answered.reasons]
