"""Does everything in a delivery fit together and into the shop as it is?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext, gettext_noop

from procedures.models import Asks, Revision, WriteUp
from procedures.records import files
from procedures.records.wording.say import say, say_fault_of_rules
from procedures.writeup.check_sheet import is_told_right
from procedures.writeup.rules import BadRules, read_rules
from training.exchange.folder.check_instants import instants_out_of_place
from training.exchange.folder.delivery import Delivery, Fault, Record
from training.exchange.folder.files import FILES
from training.models import Level, User, Want, Workshop


@dataclass(frozen=True, slots=True)
class KnownNames:
    """The names that may be named: those in the shop and those in the delivery, by kind."""

    names: dict[str, set[str]]
    revisions: set[tuple[str, int]]


WHAT = {
    "login": gettext_noop("somebody in people.csv or in the shop"),
    "level": gettext_noop("a level in levels.csv or in the shop"),
    "writeup": gettext_noop("a write-up in writeups/ or in the shop"),
    "workshop": gettext_noop("a workshop in people.csv or in the shop"),
}


def faults_in(delivery: Delivery) -> list[Fault]:
    """Every fault of the delivery, also those found in reading it, in the order of files and
    rows.
    """
    known = _known(delivery)
    found = [
        *delivery.faults,
        *_unknown_names(delivery, known),
        *_taken(delivery),
        *_logins_alike(delivery),
        *_levels(delivery),
        *_days(delivery),
        *_revisions(delivery, known),
        *_rules(delivery),
        *_observations(delivery),
        *instants_out_of_place(delivery),
    ]
    return sorted(found, key=lambda fault: (_place(fault.file), fault.file, fault.row))


def _place(file: str) -> int:
    """Where a file stands in the order of files, also as a sheet of a workbook; the last place for
    any other.
    """
    name = file.rpartition(", sheet ")[2].lower().removesuffix(".csv")
    return next((place for place, known in enumerate(FILES) if known == f"{name}.csv"), len(FILES))


def _known(delivery: Delivery) -> KnownNames:
    return KnownNames(
        names={
            "login": {
                *User.objects.values_list("login", flat=True),
                *_column(delivery, "people.csv", "login"),
            },
            "workshop": {
                *Workshop.objects.values_list("name", flat=True),
                *_column(delivery, "people.csv", "workshop"),
                *_column(delivery, "workshops.csv", "workshop"),
            },
            "level": {
                *Level.objects.values_list("name", flat=True),
                *_column(delivery, "levels.csv", "level"),
            },
            "writeup": {
                *WriteUp.objects.values_list("name", flat=True),
                *(row.writeup for row in delivery.revisions),
                *(row.writeup for row in delivery.examples),
            },
        },
        revisions={
            *Revision.objects.released().values_list("writeup__name", "number"),
            *((row.writeup, row.number) for row in delivery.revisions),
        },
    )


def _column(delivery: Delivery, file: str, column: str) -> Iterator[str]:
    return (record[column] for record in delivery.rows(file))


def _unknown_names(delivery: Delivery, known: KnownNames) -> Iterator[Fault]:
    for file, columns in FILES.items():
        naming = [column for column in columns if column.names]
        for record in delivery.rows(file):
            for column in naming:
                for name in _each(record[column.name]):
                    if name not in known.names[column.names]:
                        yield record.fault(
                            column.name,
                            gettext("'{name}' is not known").format(name=name),
                            gettext(WHAT[column.names]),
                        )
    for record in delivery.rows("voids.csv"):
        kind = "writeup" if record["kind"] == "reading" else "level"
        if record["about"] not in known.names[kind]:
            yield record.fault(
                "about",
                gettext("'{about}' is not known").format(about=record["about"]),
                gettext(WHAT[kind]),
            )


def _each(value: object) -> Iterable[str]:
    if isinstance(value, str):
        return (value,)
    return value if isinstance(value, tuple) else ()


def _taken(delivery: Delivery) -> Iterator[Fault]:
    # Of a level in the shop no version comes in: its rules are changed on its page, by an owner.
    levels = {(name,) for name in Level.objects.values_list("name", flat=True)}
    there: dict[tuple[str, tuple[str, ...]], set[tuple[str, ...]]] = {
        ("workshops.csv", ("workshop",)): {
            (name,) for name in Workshop.objects.values_list("name", flat=True)
        },
        ("people.csv", ("login",)): {
            (login,) for login in User.objects.values_list("login", flat=True)
        },
        ("levels.csv", ("level", "from")): set(),
        ("want.csv", ("workshop", "level")): set(
            Want.objects.values_list("workshop__name", "level__name")
        ),
    }
    for (file, columns), seen in there.items():
        for record in delivery.rows(file):
            key = tuple(str(record[column]) for column in columns if record[column])
            if key in seen or (file == "levels.csv" and key[:1] in levels):
                yield record.fault(
                    columns[0],
                    gettext("'{names}' is there already").format(names=" ".join(key)),
                    gettext("each one once"),
                )
            seen.add(key)


def _logins_alike(delivery: Delivery) -> Iterator[Fault]:
    """Two logins that differ only in capitals would be taken for one another."""
    seen = {login.casefold(): login for login in User.objects.values_list("login", flat=True)}
    for record in delivery.rows("people.csv"):
        other = seen.setdefault(record["login"].casefold(), record["login"])
        if other != record["login"]:
            wrong = gettext("'{login}' differs from '{other}' only in capitals").format(
                login=record["login"], other=other
            )
            yield record.fault("login", wrong, gettext("logins that nobody takes for one another"))


def _levels(delivery: Delivery) -> Iterator[Fault]:
    # a level of the shop names none that is only coming in, so a ring lies within the delivery
    before = {record["level"]: record["earlier"] for record in delivery.rows("levels.csv")}
    for record in delivery.rows("levels.csv"):
        if not 1 <= record["valid_months"] <= 1200:
            yield record.fault(
                "valid_months",
                gettext("this must be there"),
                gettext("how many months a sign-off is valid, 1 to 1200"),
            )
        if record["pass_percent"] > 100:
            yield record.fault(
                "pass_percent",
                gettext("this is more than everything"),
                gettext("a percentage from 0 to 100"),
            )
        if record["level"] in _all_before(record["level"], before):
            yield record.fault(
                "earlier",
                gettext("{level} would have to be held before itself").format(
                    level=record["level"]
                ),
                gettext("levels in a row"),
            )


def _all_before(level: str, before: dict[str, tuple[str, ...]]) -> set[str]:
    seen: set[str] = set()
    waiting = list(before.get(level, ()))
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting.extend(before.get(name, ()))
    return seen


SPANS = {
    "people.csv": ("started", "left"),
    "appointments.csv": ("from", "until"),
    "standdowns.csv": ("from", "lifted_on"),
    "rota.csv": ("from", "until"),
    "absences.csv": ("from", "until"),
}


def _days(delivery: Delivery) -> Iterator[Fault]:
    for file, (first, last) in SPANS.items():
        for record in delivery.rows(file):
            if record[first] and record[last] and record[last] < record[first]:
                yield record.fault(
                    last,
                    gettext("{day} is before {column}, {other}").format(
                        day=record[last], column=first, other=record[first]
                    ),
                    gettext("a later day"),
                )
    for record in delivery.rows("standdowns.csv"):
        if not record["lifted_on"] and (record["lifted_by"] or record["lift_recorded_at"]):
            yield record.fault(
                "lifted_on",
                gettext("the day of lifting is missing"),
                gettext("a date, or no lifting at all"),
            )


def _revisions(delivery: Delivery, known: KnownNames) -> Iterator[Fault]:
    for file in ("readings.csv", "jobs.csv", "observations.csv"):
        for record in delivery.rows(file):
            if file == "readings.csv" or record["writeup"] or record["revision"]:
                yield from _names_revision(record, known)
    there = set(Revision.objects.values_list("writeup__name", "number"))
    for revision in delivery.revisions:
        if (revision.writeup, revision.number) in there:
            yield Fault(
                revision.file,
                0,
                "",
                gettext("revision {number} is in the shop already").format(number=revision.number),
                gettext("a new number"),
            )
        there.add((revision.writeup, revision.number))
        for fault in revision.parsed.faults:
            if fault.code == "bad-header" and fault.about in {"released", "released_at", "asks"}:
                expected = gettext(
                    "released: a date; released_at: a moment of it with its offset; asks: {words}"
                ).format(words=", ".join(Asks.values))
                yield Fault(revision.file, fault.line, fault.about, say(fault.remark), expected)
    doubled = [
        name for name, count in Counter(row.file for row in delivery.revisions).items() if count > 1
    ]
    for name in doubled:
        yield Fault(
            name, 0, "", gettext("the file is in two of the folders"), gettext("each file once")
        )


def _no_revision(record: Record) -> str:
    if not record["revision"]:
        return gettext("{writeup} has no revision").format(writeup=record["writeup"])
    text = gettext("{writeup} has no revision {revision}")
    return text.format(writeup=record["writeup"], revision=record["revision"])


def _names_revision(record: Record, known: KnownNames) -> Iterator[Fault]:
    named = (record["writeup"], record["revision"])
    if record["writeup"] in known.names["writeup"] and named not in known.revisions:
        numbers = sorted(number for name, number in known.revisions if name == record["writeup"])
        yield record.fault(
            "revision",
            _no_revision(record),
            gettext("one of {numbers}").format(numbers=", ".join(map(str, numbers))),
        )
    elif not record["writeup"]:
        yield record.fault(
            "writeup",
            gettext("the cell is empty"),
            gettext("the write-up that the revision belongs to"),
        )


def _observations(delivery: Delivery) -> Iterator[Fault]:
    for record in delivery.rows("observations.csv"):
        if record["lines"] and is_told_right(record["lines"]) is not record["right"]:
            seen = "no" if record["right"] else "yes"
            yield record.fault(
                "right",
                gettext("the lines of the check sheet say otherwise"),
                gettext("{seen}, or other lines").format(seen=seen),
            )
        for name in record["photos"]:
            if name not in delivery.photos and files.find_kept(name) is None:
                yield record.fault(
                    "photos",
                    gettext("there is no file {name} in photos/").format(name=name),
                    gettext("the file beside this one, under its SHA-256"),
                )


def _rules(delivery: Delivery) -> Iterator[Fault]:
    if delivery.rules is not None:
        try:
            read_rules(delivery.rules)
        except BadRules as bad:
            yield Fault("rules.yaml", 0, "", say_fault_of_rules(bad), "safe, temporary, same")
