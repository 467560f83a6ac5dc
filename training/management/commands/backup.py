"""manage.py backup: put everything that the shop has recorded into one file, while people work."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext

from procedures.management.progress import Progress
from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.exchange.backups.archive import Manifest
from training.exchange.backups.backup import back_up_into, make_backup
from training.exchange.backups.keys import write_keys
from training.exchange.backups.last_backup import note_backup
from training.management.prepared import OF_THE_SHOP


class Command(BaseCommand):
    help = gettext(
        "Put the whole record and its pictures into one new file, while people work. "
        "The site's keys stay out of it."
    )
    requires_system_checks = (OF_THE_SHOP,)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file",
            nargs="?",
            type=Path,
            metavar="FILE",
            help=gettext("a new file, such as monday.zip"),
        )
        parser.add_argument(
            "--into",
            type=Path,
            metavar="FOLDER",
            help=gettext("for a timer: a file named by its instant in this folder"),
        )
        parser.add_argument(
            "--keep",
            type=int,
            default=14,
            metavar="N",
            help=gettext("with --into: how many stay; older ones go (14)"),
        )
        parser.add_argument(
            "--keys",
            type=Path,
            metavar="FILE",
            help=gettext("write the site's keys into a new file of their own"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if bool(options["file"]) == bool(options["into"]):
            raise CommandError(gettext("Name one file for the backup, or a folder with --into."))
        if options["keep"] < 1:
            raise CommandError(
                gettext("--keep takes a number from 1 on: the newest backup always stays.")
            )
        try:
            with Progress(self.stderr) as tell:
                if options["into"]:
                    path, made, notes, gone = back_up_into(
                        options["into"], keep=options["keep"], now=timezone.now(), tell=tell
                    )
                else:
                    path, gone = options["file"], 0
                    made, notes = make_backup(path, now=timezone.now(), tell=tell)
            self._say(path, made, notes, gone)
            if options["keys"]:
                names = ", ".join(write_keys(options["keys"])) or gettext("no keys yet")
                self.stdout.write(
                    gettext(
                        "Keys are in {keys} ({names}). Do not keep them beside the backup."
                    ).format(keys=options["keys"], names=names)
                )
        except Refused as refused:
            raise CommandError(" ".join((refused.message, *refused.details))) from refused

    def _say(self, path: Path, made: Manifest, notes: list[str], gone: int) -> None:
        for note in notes:
            self.stdout.write(gettext("Worth knowing: {note}").format(note=note))
        if not note_backup(made.made_at):
            self.stdout.write(
                gettext(
                    "Worth knowing: the site could not save that a backup was made, so its "
                    "first page will still ask for one."
                )
            )
        pictures = len(made.members) - 1
        self.stdout.write(
            gettext("Backup in {path}: the database, and pictures: {pictures}.").format(
                path=path, pictures=pictures
            )
            + f" {tell_made(made)}"
        )
        if gone:
            self.stdout.write(gettext("Older backups deleted: {gone}.").format(gone=gone))


def tell_made(made: Manifest) -> str:
    """How far the record in a backup goes, and its check code."""
    if not made.book.number:
        return gettext("The record book is empty.")
    return gettext(
        "The record goes up to entry {number}, written {moment}. Check code {code}."
    ).format(
        number=made.book.number, moment=instant_text(made.book.written_at), code=made.book.digest
    )


def instant_text(instant: str) -> str:
    """An instant of a backup as people write it: 25 Nov 2026 at 09:30 UTC."""
    moment = datetime.fromisoformat(instant).astimezone(UTC)
    return gettext("{day} at {time} UTC").format(day=say_day(moment.date()), time=f"{moment:%H:%M}")
