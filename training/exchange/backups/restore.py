"""How does a backup become a site again, in an empty place, wholly or not at all?"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.utils.translation import gettext

from procedures.records import sealing
from procedures.records.refused import Refused
from training.exchange.backups.archive import DATABASES, Backup, Head, Manifest
from training.exchange.backups.backup import changed_pictures, sweep, sync_folder
from training.exchange.backups.dumping import (
    database_at,
    facts_of,
    pour_in,
    sqlite_file,
    sqlite_problems,
)
from training.exchange.backups.keys import put_keys
from training.exchange.backups.last_backup import note_backup
from training.records.book.chain import breaks
from training.records.keeping import faults, head, links
from training.records.opened_file import BEGUN
from training.records.wording.breaks import say_break

WORKPLACE = ".restoring-"
# apps that this program no longer has; older backups carry their tables, which nothing reads
RETIRED = {"axes"}
MOST_TOLD = 5
# Room for the journal and for temporary files while the book is checked.
SPARE = 50 * 1024 * 1024  # bytes that stay free beside what is restored

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored: the list of the backup, the head of the book as it is now, and what is
    wrong with it.
    """

    manifest: Manifest
    book: Head
    problems: tuple[str, ...]
    is_migrated: bool


def restore(
    path: Path,
    *,
    keys: dict[str, str] | None = None,
    even_if_broken: bool = False,
    now: datetime,
    tell: Tell = lambda _: None,
) -> Restored:
    """Put a backup into this site's place, which must be empty; check the whole book before it
    counts.

    Raises Refused for a place that is not empty, a file that is not as it was made, one of a newer
    program or another database, and, unless `even_if_broken`, for a record that does not hold. Then
    the place is as it was.
    """
    must_be_empty()
    with Backup(path) as backup:
        _must_fit(backup.manifest)
        backup.check(tell)
        with _workplace(_home(), now) as folder:
            pictures = _extract_pictures(backup, folder)
            if connection.vendor == "sqlite":
                done = _restore_sqlite(backup, folder, pictures, even_if_broken, tell, now)
            else:
                done = _restore_postgresql(backup, folder, pictures, even_if_broken, tell)
    # Only after all of it is in: a refused restore leaves the site's own keys as they are.
    if keys:
        put_keys(keys)
    note_backup(done.manifest.made_at)
    return done


def must_be_empty() -> None:
    """Raises Refused where there is a database already, or what is left of one."""
    if connection.vendor != "sqlite":
        if connection.introspection.table_names():
            raise Refused(
                gettext(
                    "The database is not empty, and a backup can be restored only into an empty "
                    "one. Make a new database and name it in DATABASE_URL."
                )
            )
        return
    name = _database()
    if name.exists() and name.stat().st_size:
        raise Refused(
            gettext(
                "There is a database already: {path}. A backup can be restored only into an "
                "empty folder. Set BENCHRIGHT_HOME to a new folder."
            ).format(path=name)
        )
    for end in ("-wal", "-shm", "-journal"):
        left = name.with_name(name.name + end)
        if left.exists():
            raise Refused(
                gettext(
                    "{path} is left from an older database. It may hold the last records of that "
                    "one, and it would damage the restored one. Move it to another folder first."
                ).format(path=left)
            )


def _must_fit(manifest: Manifest) -> None:
    if manifest.database != connection.vendor:
        raise Refused(
            gettext(
                "This backup is from {theirs}, but this site uses {ours}. Set DATABASE_URL "
                "to an empty {theirs} database."
            ).format(theirs=manifest.database, ours=connection.vendor)
        )
    _must_be_known(manifest.migrations)
    needed = sum(member.size for member in manifest.members.values()) + SPARE
    if shutil.disk_usage(_home()).free < needed:
        raise Refused(
            gettext("The disk is too full. Make {count} MB free.").format(count=needed // 1_000_000)
        )


def _must_be_known(migrations: Mapping[str, tuple[str, ...]]) -> None:
    known = MigrationLoader(None).disk_migrations or {}
    newer = [
        f"{app}.{name}"
        for app, names in migrations.items()
        for name in names
        if (app, name) not in known and app not in RETIRED
    ]
    if newer:
        raise Refused(
            gettext(
                "This backup was made by a newer Benchright. Update this one first, then restore."
            ),
            newer[:MOST_TOLD],
        )


def _extract_pictures(backup: Backup, folder: Path) -> list[Path]:
    made = []
    (folder / "pictures").mkdir()
    for name in backup.manifest.members:
        if name.startswith("pictures/"):
            made.append(folder / name)
            backup.extract(name, made[-1])
    return made


def _restore_sqlite(
    backup: Backup,
    beside: Path,
    pictures: list[Path],
    even_if_broken: bool,
    tell: Tell,
    now: datetime,
) -> Restored:
    # Beside the database, where one step can put it into its place.
    with _workplace(_database().parent, now) as folder:
        copy = folder / "database.sqlite3"
        backup.extract(DATABASES["sqlite"], copy)
        try:
            with sqlite_file(str(copy)) as ask:
                damaged = sqlite_problems(ask)
            if damaged:
                raise Refused(
                    gettext("The database in this backup is damaged. Use another backup."), damaged
                )
            with database_at(copy), _pictures_at(beside / "pictures"):
                done = _checked(backup.manifest, even_if_broken, tell)
            with sqlite_file(str(copy)) as ask:
                # all of it in the one file that is put in place
                ask("PRAGMA journal_mode = DELETE")
        except DatabaseError as error:
            raise Refused(
                gettext("The database in this backup cannot be read: {error}.").format(error=error)
            ) from error
        _sync(copy)
        # The pictures before the database: a picture without a row harms nobody.
        _put_pictures(pictures)
        # Again: the check of a large book takes minutes, in which a site may have been started.
        must_be_empty()
        copy.replace(_database())  # from this moment on it is restored
        sync_folder(_database().parent)
    return done


def _restore_postgresql(
    backup: Backup, folder: Path, pictures: list[Path], even_if_broken: bool, tell: Tell
) -> Restored:
    dump, begun = folder / "database.dump", _home() / BEGUN
    backup.extract(DATABASES["postgresql"], dump)
    # PostgreSQL has no file that could be put in place in one step, so the site is kept shut.
    begun.write_text(
        gettext(
            "A restore was started here and did not finish. The site takes no records as "
            "long as this file is here."
        ),
        encoding="utf-8",
    )
    try:
        tell(gettext("Restoring the database"))
        pour_in(dump)
        with _pictures_at(folder / "pictures"):
            done = _checked(backup.manifest, even_if_broken, tell)
    except (Refused, DatabaseError) as error:
        _empty_again()
        begun.unlink()
        if isinstance(error, Refused):
            raise
        raise Refused(
            gettext("The database in this backup cannot be read: {error}.").format(error=error)
        ) from error
    _put_pictures(pictures)
    begun.unlink()
    return done


def _empty_again() -> None:
    """Take out what a refused restore put in; the database was empty before it."""
    # A refused statement may have left the connection in a broken transaction.
    connection.close()
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"DROP TABLE {connection.ops.quote_name(table)} CASCADE")
        cursor.execute(
            "SELECT p.oid::regprocedure::text FROM pg_proc p WHERE p.pronamespace = "
            "current_schema()::regnamespace"
            " AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')"
        )
        # Without functions of an extension, which belong to the database and were there before.
        for (function,) in cursor.fetchall():
            cursor.execute(f"DROP FUNCTION {function} CASCADE")


def _checked(manifest: Manifest, even_if_broken: bool, tell: Tell) -> Restored:
    """The database that was just put in: is it the one of the list, and does its book hold? Then it
    is made this program's.
    """
    problems = [*changed_pictures(manifest), *_not_as_listed(manifest)]
    executor = MigrationExecutor(connection)
    is_older = bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    tell(gettext("Checking the record book"))
    # the tables are not yet those that the program can read: the chain by itself first, all of it
    # afterwards
    if is_older:
        problems += [say_break(found) for found in islice(breaks(links()), MOST_TOLD)]
        if problems and not even_if_broken:
            raise _broken(problems)
        # Only after the chain held: migrations may rewrite rows that the check compares with it.
        call_command("migrate", verbosity=0, interactive=False)
    problems += [say_break(found) for found in islice(faults(), MOST_TOLD)]
    problems += [f"{table}: {problem}." for table, problem in sealing.problems(connection)]
    if problems and not even_if_broken:
        raise _broken(problems)
    # A dump carries triggers along, but a file that somebody made may have lost them.
    sealing.put_on(connection)
    number, digest = head()
    return Restored(
        manifest,
        Head(number, digest, manifest.book.written_at),
        tuple(dict.fromkeys(problems)),
        is_older,
    )


def _broken(problems: list[str]) -> Refused:
    return Refused(
        gettext(
            "The record book in this backup failed its check. Nothing was restored. Try "
            "an older backup."
        ),
        problems[:MOST_TOLD],
    )


def _not_as_listed(manifest: Manifest) -> Iterator[str]:
    found = facts_of(_ask_django)
    # Again, by the database itself: the list may say otherwise than what it is packed with.
    _must_be_known(found.migrations)
    if (found.book, found.first) != (manifest.book, manifest.first):
        yield gettext(
            "The record book in this backup ends at entry {number} ({digest}), but the "
            "list in the backup says entry {listed} ({code})."
        ).format(
            number=found.book.number,
            digest=found.book.digest[:12],
            listed=manifest.book.number,
            code=manifest.book.digest[:12],
        )


def _ask_django(sql: str) -> list[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return list(cursor.fetchall())


def _put_pictures(pictures: list[Path]) -> None:
    """The pictures into their folder. Each is named by its digest, so one that is there already is
    the same one.
    """
    folder = Path(settings.PICTURES)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    for path in pictures:
        _sync(path)
        path.replace(folder / path.name)
    sync_folder(folder)


def _sync(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


@contextmanager
def _pictures_at(folder: Path) -> Iterator[None]:
    """While the record is checked, its pictures are those of the backup, which are not in their
    place yet.
    """
    usual, settings.PICTURES = settings.PICTURES, folder
    try:
        yield
    finally:
        settings.PICTURES = usual


@contextmanager
def _workplace(beside: Path, now: datetime) -> Iterator[Path]:
    sweep(beside, WORKPLACE, now)
    folder = Path(tempfile.mkdtemp(prefix=WORKPLACE, dir=beside))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _home() -> Path:
    return Path(settings.HOME)


def _database() -> Path:
    return Path(str(connection.settings_dict["NAME"])).resolve()
