"""manage.py restore: make a site of a backup, in an empty place."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils import timezone
from django.utils.translation import gettext

from procedures.management.progress import Progress
from procedures.records.refused import Refused
from training.exchange.backups.keys import read_keys
from training.exchange.backups.restore import restore
from training.management.commands.backup import instant_text, tell_made
from training.management.prepared import OF_THE_SHOP


class Command(BaseCommand):
    help = gettext(
        "Restore a backup into an empty place: all of it or nothing. The whole record book is "
        "checked."
    )
    requires_system_checks = (OF_THE_SHOP,)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file",
            type=Path,
            metavar="FILE",
            help=gettext("a file of manage.py backup, from somebody whom you trust"),
        )
        parser.add_argument(
            "--keys",
            type=Path,
            metavar="FILE",
            help=gettext("the file of keys that was written beside it"),
        )
        parser.add_argument(
            "--even-if-broken",
            action="store_true",
            help=gettext(
                "restore even if the record book fails its check, when there is no better backup"
            ),
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
            raise CommandError(
                gettext("The database cannot be used: {error}").format(error=error)
            ) from error
        for problem in done.problems:
            self.stderr.write(gettext("Check failed: {problem}").format(problem=problem))
        if done.is_migrated:
            self.stdout.write(
                gettext(
                    "The backup was made by an older Benchright ({program}); its tables are this "
                    "one's now."
                ).format(program=done.manifest.program)
            )
        whole = (
            gettext("The record book failed its check. See above.")
            if done.problems
            else gettext("The record book is whole.")
        )
        self.stdout.write(
            gettext("Restored the backup of {moment}.").format(
                moment=instant_text(done.manifest.made_at)
            )
            + f" {whole} {tell_made(done.manifest)}"
        )
        self.stdout.write(
            gettext("What was saved later is not in it. Everybody has to sign in again.")
        )
