"""manage.py restore: make a site of a backup, in an empty place."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils import timezone

from procedures.management.progress import Progress
from procedures.records.refused import Refused
from training.exchange.keys import read_keys
from training.exchange.restore import restore
from training.management.commands.backup import instant_text, told


class Command(BaseCommand):
    help = (
        "Make a site of a backup, in an empty place: all of it or nothing, with the whole record "
        "book checked."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file",
            type=Path,
            metavar="FILE",
            help="a file of manage.py backup, from somebody whom you trust",
        )
        parser.add_argument(
            "--keys", type=Path, metavar="FILE", help="the file of keys that was written beside it"
        )
        parser.add_argument(
            "--even-if-broken",
            action="store_true",
            help="also a record that does not hold, where there is no better one",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            keys = read_keys(options["keys"]) if options["keys"] else None
            with Progress(self.stderr) as tell:
                done = restore(
                    options["file"],
                    keys=keys,
                    even_if_broken=options["even_if_broken"],
                    now=timezone.now(),
                    tell=tell,
                )
        except Refused as refused:
            raise CommandError("\n".join((refused.message, *refused.details))) from refused
        except DatabaseError as error:
            raise CommandError(f"The database cannot be used: {error}") from error
        for problem in done.problems:
            self.stderr.write(f"Does not hold: {problem}")
        if done.is_migrated:
            self.stdout.write(
                f"The backup was made by an older Benchright ({done.manifest.program}); its "
                "tables are this one's now."
            )
        whole = (
            "The record does not hold; see above." if done.problems else "The record book is whole."
        )
        self.stdout.write(
            f"Restored the backup of {instant_text(done.manifest.made_at)}. {whole} "
            f"{told(done.manifest)}"
        )
        self.stdout.write(
            "What was written down later is not in it. Everybody has to sign in again."
        )
