"""Does the pure answer agree with the judge over a bring-in folder, with no database between
them?
"""

import json
import tempfile
from datetime import date, datetime
from pathlib import Path
from typing import Any

from tests.training.folder_rows import limits_of, read_folder
from tests.training.grow_shop import BROUGHT_AT, grow_shop
from tests.training.judge import judge
from training.standing.answer import answers
from training.standing.evidence import (
    Appointment,
    Job,
    LevelRules,
    Observation,
    Passing,
    Person,
    Reading,
    RevisionFact,
    Shop,
    SignOff,
    StandDown,
    Void,
)

TIME_ZONES = ("UTC", "Europe/Berlin", "Pacific/Auckland", "America/Los_Angeles")
COMPARED = ("standing", "lapses_on")


def _made(kind, rows, names):
    """Every row as `kind`, its fields taken from the columns `names` says ("field" or
    "field=column").
    """
    fields = [name.partition("=")[::2] for name in names.split()]
    return tuple(kind(**{field: row[column or field] for field, column in fields}) for row in rows)


def folder_shop(folder: Path, brought_at, time_zone: str = "UTC") -> Shop:
    """The folder as the evidence that the pure answer takes."""
    raw: dict[str, Any] = read_folder(folder, brought_at, time_zone)
    rows = {name: [{**row} for row in found] for name, found in raw.items()}
    writeups = {row["writeup"]: row["variants"] for row in rows["revisions"]}
    for level in rows["levels"]:
        level.update(
            earlier=tuple(level["earlier"]), writeups=tuple(level["writeups"]), from_day=None
        )
        level.setdefault("practice_from", None)
        level["watched_per_option"], level["observers"] = (
            bool(level.get("watched_per_option")),
            level.get("observers", 0),
        )
    for appointment in rows["appointments"]:
        appointment["ends"] = tuple(appointment["ends"])
    for observation in rows["observations"]:
        observation.setdefault("writeup", "")
    for job in rows["jobs"]:
        job["variant"] = tuple(
            (name, options[0]) for name, options in limits_of(job["variant"]).items()
        )
        job["watched_by"] = job["watched_by"] or None
    for signoff in rows["signoffs"]:
        signoff["limits"] = tuple(
            (name, tuple(options)) for name, options in signoff["limits"].items()
        )
    for stand_down in rows["standdowns"]:
        stand_down["level"] = None if stand_down["level"] == "*" else stand_down["level"]
        stand_down["lift_recorded_at"] = (
            stand_down["lift_recorded_at"] if stand_down["lifted_on"] else None
        )
    rules = (
        "level title earlier writeups valid_months practice_jobs practice_months watched_jobs "
        "watched_per_option"
        " observations observers pass_percent grace_days from_day practice_from"
    )
    return Shop(
        people=_made(Person, rows["people"], "login name workshop trade started left"),
        levels=_made(
            LevelRules,
            [{**row, "pass_percent": int(row["pass_percent"])} for row in rows["levels"]],
            rules,
        ),
        revisions=_made(
            RevisionFact, rows["revisions"], "writeup number released asks released_at"
        ),
        appointments=_made(
            Appointment,
            rows["appointments"],
            "person=login level by first=from until recorded_at ends",
        ),
        readings=_made(Reading, rows["readings"], "person=login writeup revision on recorded_at"),
        passings=_made(
            Passing, rows["passes"], "person=login level on percent critical_right recorded_at"
        ),
        jobs=_made(
            Job,
            rows["jobs"],
            "person=login level on watched_by variant came_back recorded_at counts_from",
        ),
        observations=_made(
            Observation,
            rows["observations"],
            "person=login level on observer right recorded_at writeup named_level=names",
        ),
        signoffs=_made(
            SignOff,
            rows["signoffs"],
            "person=login level on signer=signed_by limits founding recorded_at",
        ),
        standdowns=_made(
            StandDown,
            rows["standdowns"],
            "person=login level first=from by recorded_at lifted_on lift_recorded_at",
        ),
        voids=_made(Void, rows["voids"], "kind person=login about on recorded_at"),
        time_zone=time_zone,
        options={
            name: tuple((variant, tuple(options)) for variant, options in variants.items())
            for name, variants in writeups.items()
        },
    )


def differences(judged, told, question):
    """What differs between the judge's people and the product's for one question, a line each."""
    found, by_login = [], {person["login"]: person for person in told}
    if set(by_login) != {person["login"] for person in judged}:
        found.append(f"{question}: people {sorted(by_login)}")
    for ours in judged:
        theirs = by_login.get(ours["login"], {})
        found += [
            f"{question}: {ours['login']} {key}: judged {ours[key]}, told {theirs.get(key)}; "
            f"judged codes {ours['codes']}"
            for key in COMPARED
            if theirs.get(key) != ours[key]
        ]
        codes = {reason["code"] for reason in theirs.get("reasons", ())}
        apart = (codes ^ set(ours["codes"])) - set(ours["unsure"])
        if apart:
            found.append(
                f"{question}: {ours['login']} {ours['standing']}, codes apart "
                f"{sorted(apart)}: judged {ours['codes']}, told {sorted(codes)}"
            )
        if ours["lapses_on"] and theirs.get("lapses_because") not in ours["lapse_codes"]:
            found.append(
                f"{question}: {ours['login']} lapses because {theirs.get('lapses_because')}, "
                f"judged {ours['lapse_codes']}"
            )
    return found


def plain(answer):
    """One pure answer in the shape that programs get."""
    return {
        "login": answer.person,
        "standing": answer.standing,
        "lapses_on": answer.lapses_on and answer.lapses_on.isoformat(),
        "lapses_because": answer.lapses_because,
        "reasons": [{"code": reason.code} for reason in answer.reasons],
    }


def compare(seed: int, wild: bool) -> list[str]:
    """The differences between judge and pure answer over random shop number `seed`."""
    time_zone = TIME_ZONES[seed % len(TIME_ZONES)]
    with tempfile.TemporaryDirectory() as name:
        folder, found = Path(name), []
        grow_shop(seed, folder, wild)
        shop = folder_shop(folder, BROUGHT_AT, time_zone)
        ask = json.loads((folder / "ask.json").read_text(encoding="utf-8"))
        for question, judged in zip(ask, judge(folder, ask, BROUGHT_AT, time_zone), strict=True):
            known_at = (
                datetime.fromisoformat(question["known_at"])
                if question.get("known_at")
                else BROUGHT_AT
            )
            day, variant = date.fromisoformat(question["on"]), question.get("variant") or {}
            told = [
                plain(answer) for answer in answers(shop, question["level"], day, known_at, variant)
            ]
            found += differences(judged["people"], told, question)
    return found


def compare_many(first: int, last: int, shown: int = 20) -> int:
    """Compare shops first … last, tame and wild; print the first differences; 1 comes back when any
    shop differs, else 0.
    """
    apart = 0
    for seed in range(first, last + 1):
        for wild in (False, True):
            found = compare(seed, wild)
            apart += bool(found)
            for line in found[: min(3, shown)]:
                print(f"shop {seed}{' wild' if wild else ''}: {line}", flush=True)
                shown -= 1
    print(f"{apart} of {2 * (last - first + 1)} shops differ")
    return min(apart, 1)
