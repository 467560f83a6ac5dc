"""manage.py take FOLDER: write the shop's records out again, or one person's own."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.management.progress import Progress
from procedures.records.refused import Refused
from training.exchange.folder.take import take
from training.exchange.own_record import take_own
from training.management.prepared import ShopCommand
from training.models import User, shop_now
from training.records.keeping import head


class Command(ShopCommand):
    help = gettext(
        "Write the shop into a new folder that can be brought in again; with "
        "--person, only what it holds about one person."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "folder", type=Path, metavar="FOLDER", help=gettext("a folder that is new or empty")
        )
        parser.add_argument(
            "--person", default="", metavar="LOGIN", help=gettext("only this person's own record")
        )

    def handle(self, *args: Any, **options: Any) -> None:
        person = User.objects.filter(login=options["person"]).first() if options["person"] else None
        if options["person"] and person is None:
            raise CommandError(
                gettext("There is nobody with the login “{person}”.").format(
                    person=options["person"]
                )
            )
        try:
            with Progress(self.stderr) as tell:
                folder = Path(options["folder"])
                if person is None:
                    taken = take(folder, tell=tell)
                else:
                    taken = take_own(folder, person=person, now=shop_now(), tell=tell)
        except Refused as refused:
            raise CommandError(refused.message) from refused
        for note in taken.notes:
            self.stdout.write(gettext("Worth knowing: {note}").format(note=note))
        counted = ", ".join(f"{file} {count}" for file, count in taken.counts.items()) or "nothing"
        number, digest = head()
        self.stdout.write(
            gettext(
                "Taken into {folder}: {counted}. Record book: entry {number}, check code {digest}."
            ).format(folder=options["folder"], counted=counted, number=number, digest=digest)
        )
