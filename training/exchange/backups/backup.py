"""How is everything that the shop has recorded put into one file, while people work?"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.backups.archive import DATABASES, PICTURE, Backup, Manifest, Member, write
from training.exchange.backups.dumping import Facts, copy_out

OURS = re.compile(r"benchright-\d{8}T\d{6}Z\.zip")
WORKPLACE = ".benchright-backup-"
DAY = timedelta(days=1)


def make_backup(
    target: Path, *, now: datetime, tell: Callable[[str], None] = lambda _: None
) -> tuple[Manifest, list[str]]:
    """A new backup in this file, and what is worth knowing about it.

    It is written under another name in the same folder, is on the disk before it gets its own, and
    overwrites nothing. Raises Refused where it cannot be made; then there is no file.
    """
    if os.path.lexists(target):
        raise Refused(
            gettext("There is a file {path} already. Choose another name.").format(path=target)
        )
    try:
        # In the same folder, since a name is given in one step only within one disk.
        workplace = Path(tempfile.mkdtemp(prefix=WORKPLACE, dir=target.parent))
    except OSError as error:
        raise _unwritten(target, error) from error
    try:
        made = _make(workplace, now, tell)
        _put(workplace / "backup.zip", target)
    except OSError as error:
        raise _unwritten(target, error) from error
    except DatabaseError as error:
        raise Refused(
            gettext("The database cannot be backed up: {error}.").format(error=str(error).strip())
        ) from error
    finally:
        shutil.rmtree(workplace, ignore_errors=True)
    return made


def _make(
    workplace: Path, now: datetime, tell: Callable[[str], None]
) -> tuple[Manifest, list[str]]:
    tell(gettext("Copying the database"))
    facts = copy_out(workplace / "database")
    if facts.book.number and not facts.book.written_at:
        # Said here: read back, such a backup would only be one that cannot be used.
        text = gettext(
            "The end of the record book is gone: it should go up to entry {number}. No backup was "
            "made. Keep your older ones, and run manage.py book."
        )
        raise Refused(text.format(number=facts.book.number))
    # The pictures after the database: one that a row names lay in the folder before the row was
    # written.
    sources = {DATABASES[connection.vendor]: workplace / "database"} | _pictures()

    def listed(members: Mapping[str, Member]) -> Manifest:
        return _manifest(facts, now, members)

    tell(gettext("Packing {count} files").format(count=len(sources)))
    made = write(workplace / "backup.zip", sources, listed)
    # Read back from the disk before it gets its name: one that was never read proves nothing.
    with Backup(workplace / "backup.zip") as backup:
        backup.check(tell)
    return made, changed_pictures(made)


def _manifest(facts: Facts, now: datetime, members: Mapping[str, Member]) -> Manifest:
    return Manifest(
        program=program(),
        made_at=now.astimezone(UTC).isoformat(timespec="seconds"),
        database=connection.vendor,
        book=facts.book,
        first=facts.first,
        migrations=facts.migrations,
        members=members,
    )


def changed_pictures(made: Manifest) -> list[str]:
    """A sentence for each picture that is no longer the one that came in: its name is its
    digest.
    """
    return [
        gettext("The picture {name} is damaged.").format(name=found[1][:12])
        for name, member in made.members.items()
        if (found := PICTURE.fullmatch(name)) and found[1] != member.sha256
    ]


def _pictures() -> dict[str, Path]:
    folder = Path(settings.PICTURES)
    named = (
        (f"pictures/{path.name}", path)
        for path in sorted(folder.glob("*"))
        # A link in the folder of pictures would pack a file from anywhere on the machine.
        if path.is_file() and not path.is_symlink()
    )
    return {name: path for name, path in named if PICTURE.fullmatch(name)}


def _put(made: Path, target: Path) -> None:
    """The finished file under its own name. A hard link is refused where the name is taken; some
    disks know none.
    """
    made.chmod(0o600)
    # Windows puts nothing on the disk by a handle that may only read.
    with made.open("rb+") as file:
        os.fsync(file.fileno())
    try:
        os.link(made, target)
    except FileExistsError:
        raise
    except OSError:
        if os.path.lexists(target):
            raise
        made.rename(target)
    sync_folder(target.parent)


def sync_folder(folder: Path) -> None:
    """A name that was given in a folder is on the disk when this returns (on systems that can open
    a folder).
    """
    with suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def back_up_into(
    folder: Path, *, keep: int, now: datetime, tell: Callable[[str], None] = lambda _: None
) -> tuple[Path, Manifest, list[str], int]:
    """A new backup, named by its instant, in a folder of them; then the oldest beyond `keep` go.

    Only good backups of this very shop are counted and deleted, and only after the new one is safe.
    Comes back: the new file, its list, what is worth knowing, and how many were deleted. Raises
    Refused.
    """
    if not folder.is_dir():
        raise Refused(
            gettext(
                "There is no folder {path}. Connect the disk with your backups, or name "
                "another folder."
            ).format(path=folder)
        )
    sweep(folder, WORKPLACE, now)
    path = folder / f"benchright-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}.zip"
    made, notes = make_backup(path, now=now, tell=tell)
    kept = [
        each
        for each in sorted(folder.iterdir(), reverse=True)
        if OURS.fullmatch(each.name) and _is_of_this_shop(each, made)
    ]
    # Never the new one, even where the clock was set back and its name sorts last.
    old = [each for each in kept[keep:] if each != path]
    for each in old:
        each.unlink(missing_ok=True)
    return path, made, notes, len(old)


def _is_of_this_shop(path: Path, made: Manifest) -> bool:
    """Whether this is a readable backup of the shop whose backup was just made."""
    # A link is followed to a file that is not ours to delete.
    if path.is_symlink():
        return False
    try:
        with Backup(path) as backup:
            return backup.manifest.first == made.first
    except Refused:
        return False


def sweep(folder: Path, prefix: str, now: datetime) -> None:
    """Take away what a backup or restore left that was cut off more than a day ago."""
    for left in folder.glob(f"{prefix}*"):
        with suppress(OSError):
            if now - datetime.fromtimestamp(left.stat().st_mtime, UTC) > DAY:
                shutil.rmtree(left, ignore_errors=True)


def program() -> str:
    """Which Benchright this is."""
    try:
        return version("benchright")
    except PackageNotFoundError:
        return ""


def _unwritten(target: Path, error: OSError) -> Refused:
    return Refused(
        gettext("{path} cannot be written: {error}.").format(
            path=target, error=error.strerror or error
        )
    )
