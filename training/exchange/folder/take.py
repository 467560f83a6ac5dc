"""How does a shop, or what it holds about one person, go out again as a folder that can be brought
in?
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from procedures.models import Revision
from procedures.records import files
from procedures.records.refused import Refused
from procedures.records.texts import newest_rules, put_dates_on, rules_text
from quizzes.kinds.kind import QuestionText
from quizzes.marking.writing import write_questions
from quizzes.models import Question
from quizzes.records.asking import list_askable, text_of
from quizzes.records.sources import Source
from training.exchange.folder.files import FILES
from training.exchange.folder.read import read_delivery
from training.exchange.folder.take_rows import rows_of
from training.exchange.folder.written import cell
from training.models import BookEntry, BookHead, Observation, SignOff, User, Workshop
from training.records.gathering import time_zone_of_shop
from training.records.keeping import head

HEAD_FILE = "HEAD.txt"
SIGNERS = "signers.csv"
# columns that name somebody else
NAMING = ("by", "observer", "signed_by", "watched_by", "lifted_by", "ended_by")


@dataclass(slots=True)
class TakenOut:
    """What was written: rows by file, and what somebody should know of it."""

    counts: dict[str, int] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


def take(
    folder: Path, *, person: User | None = None, tell: Callable[[str], None] | None = None
) -> TakenOut:
    """Write the shop, or one person's own record, into a folder that is new or empty; `tell` hears
    what is written.

    The folder is read back, and a cell that would not come in again is among the notes. Raises
    Refused for a folder that holds something or cannot be written.
    """
    taken = TakenOut()
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise Refused(
                f"{folder} holds something already. Name a new folder, so that nothing old is "
                "taken for new."
            )
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        # One moment for all files, so that no row names one that is missing.
        with transaction.atomic():
            # whoever writes evidence waits here until the folder is whole
            BookHead.objects.select_for_update().first()
            _write(folder, person, taken, tell or (lambda _: None))
    except OSError as error:
        raise Refused(f"{folder} cannot be written: {error.strerror}.") from error
    # Read back at once: better told now than on the day on which the folder is needed.
    taken.notes += [f"{fault}" for fault in read_delivery([folder]).faults if taken.counts]
    return taken


def _write(folder: Path, person: User | None, taken: TakenOut, tell: Callable[[str], None]) -> None:
    named: dict[str, None] = {}
    for file, columns in FILES.items():
        tell(f"Writing {file}")
        names = [column.name for column in columns]
        count = _write_csv(folder / file, names, _noting(rows_of(file, person), named))
        if count:
            taken.counts[file] = count
    _write_photos(folder / "photos", person, taken)
    if person is None:
        _write_writeups(folder, taken)
        _write_questions(folder, taken)
        rules = newest_rules()
        if rules:
            _write_text(folder / "rules.yaml", rules.text)
    else:
        _write_csv(folder / SIGNERS, ["login", "name"], _printed_names(named, person))
    _write_text(folder / HEAD_FILE, _head_text(person))


def _noting(
    rows: Iterable[Mapping[str, Any]], named: dict[str, None]
) -> Iterator[Mapping[str, Any]]:
    """The same rows; the logins of everybody whom they name are noted on the way."""
    for row in rows:
        for column in NAMING:
            value = row.get(column) or []
            named |= {user.login: None for user in (value if isinstance(value, list) else [value])}
        yield row


def _write_csv(path: Path, columns: list[str], rows: Iterable[Mapping[str, Any]]) -> int:
    """How many rows were written; a file without any is left out, since a file that is absent is
    simply not brought.
    """
    count = 0
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        for row in rows:
            writer.writerow([cell(row.get(column)) for column in columns])
            count += 1
    if not count:
        path.unlink()
    return count


def _write_text(path: Path, text: str) -> None:
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(text.encode())


def _write_photos(folder: Path, person: User | None, taken: TakenOut) -> None:
    seen = (
        Observation.objects.all() if person is None else Observation.objects.filter(person=person)
    )
    for name in sorted(
        {name for photos in seen.values_list("photos", flat=True) for name in photos}
    ):
        data = files.find_kept(name)
        if data is None:
            taken.notes.append(
                f"The photo {name} is not on this machine any more, or is no longer what came in."
            )
        else:
            folder.mkdir(exist_ok=True)
            (folder / name).write_bytes(data)
            taken.counts["photos/"] = taken.counts.get("photos/", 0) + 1


def _write_writeups(folder: Path, taken: TakenOut) -> None:
    zone = ZoneInfo(time_zone_of_shop())
    rows = Revision.objects.released().select_related("writeup").order_by("writeup__name", "number")
    for row in rows.iterator(100):
        name = (
            f"{row.writeup.name}.md" if row.number == 1 else f"{row.writeup.name}.r{row.number}.md"
        )
        _write_text(folder / "writeups" / name, _dated(row, zone))
        taken.counts["writeups/"] = taken.counts.get("writeups/", 0) + 1


def _dated(row: Revision, zone: ZoneInfo) -> str:
    """The text with its release in the header; the moment only where it lies on the day of release,
    since it says nothing elsewhere.
    """
    at = row.moment_of_release()
    shown = cell(at) if at and at.astimezone(zone).date() == row.released_on else ""
    return put_dates_on(row.text, released=str(row.released_on), asks=row.asks, released_at=shown)


def _write_questions(folder: Path, taken: TakenOut) -> None:
    """Every question that is asked at present: accepted, not withdrawn, and in keeping with the
    current revision.
    """
    current = Revision.objects.current().select_related("writeup")
    sources = {
        row.writeup_id: Source(row.writeup.name, row.number, row.text, row.changed_at)
        for row in current
    }
    asked = list_askable(sources, rules_text())
    fitting: dict[str, list[QuestionText]] = {}
    for version in sorted(asked, key=lambda one: one.question_id):
        name = sources[version.question.writeup_id].name
        fitting.setdefault(name, []).append(text_of(version, name))
    for name in sorted(fitting):
        _write_text(folder / "questions" / f"{name}.yaml", write_questions(name, fitting[name]))
        taken.counts["questions/"] = taken.counts.get("questions/", 0) + len(fitting[name])
    others = Question.objects.filter(writeup__in=sources).exclude(
        versions__in=[one.pk for one in asked]
    )
    for question in others.select_related("writeup").order_by("pk"):
        taken.notes.append(f"question {question} is not asked at present and is left out.")


def _printed_names(named: Iterable[str], person: User) -> Iterator[Mapping[str, Any]]:
    """Everybody named in the rows, as printed under the newest signature, else as the shop writes
    the name now.
    """
    printed = dict(
        SignOff.objects.filter(person=person)
        .exclude(printed_name="")
        .order_by("pk")
        .values_list("signer__login", "printed_name")
    )
    now = dict(User.objects.filter(login__in=list(named)).values_list("login", "name"))
    for login in named:
        yield {"login": login, "name": printed.get(login, now[login])}


def _head_text(person: User | None) -> str:
    """Where the record book stood; nothing here changes while the book does not."""
    number, digest = head()
    last = BookEntry.objects.filter(number=number).values_list("written_at", flat=True).first()
    day = last.astimezone(ZoneInfo(time_zone_of_shop())).date() if last else None
    lines = [
        f"The record of {person.name} ({person.login})." if person else "The records of the shop.",
        f"Record book: entry {number}" + (f" of {day}" if day else "") + ".",
        f"Head: {digest}",
    ]
    if Workshop.objects.filter(is_demo=True).exists():
        lines.append("Demo values. Do not use on a real fork or shock.")
    return "\n".join(lines) + "\n"
