"""What stands in a bring-in folder, as plain rows that the tests read and write?"""

import csv
import re
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import yaml

COLUMNS = {
    "people": "login name workshop trade started left",
    "levels": "level title earlier writeups valid_months practice_jobs practice_months "
    "watched_jobs "
    "observations pass_percent grace_days",
    "appointments": "login level by from until",
    "readings": "login writeup revision on",
    "passes": "login level on percent critical_right",
    "jobs": "login level on watched_by variant came_back note",
    "observations": "login level on observer right note",
    "signoffs": "login level on signed_by variants founding note",
    "standdowns": "login level from by reason lifted_on lifted_by",
    "voids": "kind login about on by reason",
}
OPTIONAL = {
    "levels": "watched_per_option observers practice_from",
    "appointments": "ended ended_at ended_by",
    "jobs": "writeup revision confirmation confirmation_at confirmation_reason",
    "observations": "writeup revision",
    "standdowns": "lift_recorded_at",
}


def day_of(text):
    return date.fromisoformat(text) if text else None


def _instant(text):
    return datetime.fromisoformat(text) if text else None


def _names(text):
    return [name.strip() for name in text.split(";") if name.strip()]


def _rows(folder, name):
    path = folder / f"{name}.csv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def limits_of(text):
    """`ring=prong|eyelet;bumper=none` as {"ring": ["prong", "eyelet"], …}; `*` limits nothing."""
    pairs = [] if text.strip() == "*" else [part.split("=") for part in _names(text)]
    return {
        variant.strip(): [option.strip() for option in options.split("|")]
        for variant, options in pairs
    }


def _writeups(folder, today):
    """Every revision at hand: (write-up, number, released, asks, variants)."""
    found = []
    for path in sorted((folder / "writeups").glob("*.md")):
        name, number = re.fullmatch(r"(.+?)(?:\.r(\d+))?\.md", path.name).groups()
        header = yaml.load(path.read_text(encoding="utf-8").split("---")[1], Loader=yaml.BaseLoader)  # noqa: S506  builds text only
        found.append(
            {
                "writeup": name,
                "number": int(number or 1),
                "released": day_of(header.get("released")) or today,
                "released_at": _instant(header.get("released_at")),
                "asks": header.get("asks", "nothing"),
                "names": header.get("level", ""),
                "variants": header.get("variants", {}),
            }
        )
    return found


EVIDENCE = (
    "appointments",
    "readings",
    "passes",
    "jobs",
    "observations",
    "signoffs",
    "standdowns",
    "voids",
)
DAYS = ("on", "from", "until", "started", "left", "lifted_on", "practice_from")
FLAGS = ("critical_right", "came_back", "right", "founding", "watched_per_option")
COUNTS = (
    "valid_months",
    "practice_jobs",
    "practice_months",
    "watched_jobs",
    "observations",
    "observers",
    "grace_days",
    "revision",
)


def _typed(row, brought_at):
    row = {key: value or "" for key, value in row.items()}
    for key in row.keys() & set(DAYS):
        row[key] = day_of(row[key])
    for key in row.keys() & set(FLAGS):
        row[key] = row[key] == "yes"
    for key in row.keys() & set(COUNTS):
        row[key] = int(row[key] or 0)
    row["recorded_at"] = _instant(row.get("recorded_at")) or brought_at
    return row


def _counts_from(job):
    """When a job begins to count: at its recording, or, said to be watched, when the watcher
    confirmed it; None for never.
    """
    said = job.get("confirmation") if job["watched_by"] else ""
    return {"": job["recorded_at"], "confirmed": _instant(job.get("confirmation_at"))}.get(
        said or ""
    )


def read_folder(folder: Path, brought_at: datetime, time_zone: str = "UTC") -> dict:
    """The folder as {"people": [row, …], "levels": …, evidence by file name, "revisions": …}, cells
    turned into days, counts and instants.
    """
    today = brought_at.astimezone(ZoneInfo(time_zone)).date()
    shop = {
        name: [_typed(row, brought_at) for row in _rows(folder, name)]
        for name in ("people", "levels", *EVIDENCE)
    }
    shop["revisions"] = _writeups(folder, today)
    for level in shop["levels"]:
        level["earlier"], level["writeups"] = _names(level["earlier"]), _names(level["writeups"])
        level["pass_percent"] = Decimal(level["pass_percent"] or 0)
    for sitting in shop["passes"]:
        sitting["percent"] = Decimal(sitting["percent"])
    for signoff in shop["signoffs"]:
        signoff["limits"] = limits_of(signoff["variants"])
    for job in shop["jobs"]:
        job["counts_from"] = _counts_from(job)
    for row in shop["appointments"]:
        pairs = zip(_names(row.get("ended", "")), _names(row.get("ended_at", "")), strict=True)
        row["ends"] = [(day_of(day), _instant(at)) for day, at in pairs]
    names = {(row["writeup"], row["number"]): row["names"] for row in shop["revisions"]}
    for row in shop["observations"]:
        row["names"] = names[row["writeup"], row["revision"]] if row.get("writeup") else ""
    for stand_down in shop["standdowns"]:
        lifted = stand_down.get("lift_recorded_at")
        stand_down["lift_recorded_at"] = (
            datetime.fromisoformat(lifted) if lifted else stand_down["recorded_at"]
        )
    return shop


def write_rows(folder, name, rows, rng):
    """Write NAME.csv; optional columns with nothing in them, and files with no rows, are mostly
    left out.
    """
    optional = OPTIONAL.get(name, "").split() + (
        [] if name in ("people", "levels") else ["recorded_at"]
    )
    kept = [
        column for column in optional if rng.random() < 0.5 or any(row.get(column) for row in rows)
    ]
    if not rows and rng.random() < 0.7:
        return
    with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(
            file, [*COLUMNS[name].split(), *kept], extrasaction="ignore", restval=""
        )
        writer.writeheader()
        writer.writerows(rows)
