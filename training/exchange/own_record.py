"""How does somebody's own record go along, so that another program can read it too?"""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from procedures.records.refused import Refused
from training.exchange.credential.issuing import issue
from training.exchange.folder.files import FILES
from training.exchange.folder.take import TakenOut, take
from training.exchange.folder.take_rows import rows_of
from training.exchange.folder.written import cell
from training.models import SignOff, User
from training.records.keeping import head

JSON_FILE = "record.json"
CREDENTIALS = "credentials"


def take_own(
    folder: Path,
    *,
    person: User,
    now: datetime,
    address: str = "",
    tell: Callable[[str], None] | None = None,
) -> TakenOut:
    """One person's record in a new folder: the files of `take`, the same rows as JSON, and each
    sign-off that counts as a file that proves itself. Raises Refused.
    """
    taken = take(folder, person=person, tell=tell)
    number, digest = head()
    said = {
        "login": person.login,
        "name": person.name,
        "written_at": now.isoformat(timespec="seconds"),
        "book": {"number": number, "head": digest},
        "records": {
            file.removesuffix(".csv"): _rows(file, person) for file in taken.counts if file in FILES
        },
    }
    _write(folder / JSON_FILE, said)
    for row in SignOff.objects.filter(person=person).select_related(
        "person__workshop", "level", "signer"
    ):
        try:
            made = issue(row, now=now, address=address)
        except Refused:
            continue  # it does not count, and its row says so
        # With the key: two sign-offs of one day must not write over each other.
        name = f"{row.level.name}-{row.happened_on:%Y-%m-%d}-{row.pk}.json"
        _write(folder / CREDENTIALS / name, made)
    return taken


def zip_of_own(*, person: User, now: datetime, address: str) -> bytes:
    """The same folder as one zip file."""
    held = io.BytesIO()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "record"
        take_own(folder, person=person, now=now, address=address)
        with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as packed:
            for path in sorted(path for path in folder.rglob("*") if path.is_file()):
                packed.write(path, path.relative_to(folder.parent).as_posix())
    return held.getvalue()


def _rows(file: str, person: User) -> list[dict[str, str]]:
    names = [column.name for column in FILES[file]]
    return [{name: cell(row.get(name)) for name in names} for row in rows_of(file, person)]


def _write(path: Path, said: Mapping[str, Any]) -> None:
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(said, ensure_ascii=False, indent=1), encoding="utf-8")
