"""manage.py bring FOLDER…: bring in a shop's records, all of them or none."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.db import transaction
from django.utils.translation import gettext, ngettext

from procedures.management.progress import Progress
from procedures.records.files import write_no_files
from training.exchange.folder.bring import Brought, Faulty, bring
from training.exchange.folder.read import read_delivery
from training.exchange.folder.worth_knowing import (
    list_halves,
    list_rows_again,
    list_rows_not_yet,
    worth_knowing,
)
from training.management.prepared import ShopCommand
from training.models import shop_now

MOST_NOTES = 200


class Command(ShopCommand):
    help = gettext(
        "Bring in a folder of records (people.csv, levels.csv, …, writeups/): "
        "everything, or, where anything is wrong, nothing."
    )
    makes_records = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "folders",
            nargs="+",
            type=Path,
            metavar="FOLDER",
            help=gettext("folders or .xlsx workbooks, read together as one delivery"),
        )
        parser.add_argument(
            "--check", action="store_true", help=gettext("only say what is wrong; save nothing")
        )

        parser.add_argument(
            "--by",
            default="",
            metavar="LOGIN",
            help=gettext("who adds the pictures of the documents in old/, where they have any"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with (
                Progress(self.stderr) as tell,
                write_no_files(if_tried=options["check"]),
                transaction.atomic(),
            ):
                delivery = read_delivery([Path(folder) for folder in options["folders"]], tell)
                already = list(list_rows_again(delivery))
                brought = bring(delivery, tell=tell, by=options["by"])
                now = shop_now()
                notes = [*delivery.notes, *already, *list_halves(delivery)]
                notes += list_rows_not_yet(delivery, now)
                notes += worth_knowing(now, tell)
                if options["check"]:
                    transaction.set_rollback(True)
        except Faulty as faulty:
            for fault in faulty.faults:
                self.stderr.write(str(fault))
            count = len(faulty.faults)
            raise CommandError(
                ngettext(
                    "{count} fault. Nothing was brought in. Put it right and bring the folder "
                    "again.",
                    "{count} faults. Nothing was brought in. Put them right and bring the folder "
                    "again.",
                    count,
                ).format(count=count)
            ) from faulty
        self._tell(brought, notes, checked=options["check"])

    def _tell(self, brought: Brought, notes: list[str], *, checked: bool) -> None:
        for note in notes[:MOST_NOTES]:
            self.stdout.write(gettext("Worth knowing: {note}").format(note=note))
        if len(notes) > MOST_NOTES:
            self.stdout.write(
                gettext("Worth knowing: and {count} more.").format(count=len(notes) - MOST_NOTES)
            )
        done = (
            gettext("Checked only; would bring in: {brought}.")
            if checked
            else gettext("Brought in: {brought}.")
        )
        self.stdout.write(done.format(brought=brought))
