"""manage.py book: is the record book whole, and does it agree with the tables?"""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from training.keeping import faults, head
from training.management.prepared import ShopCommand


class Command(ShopCommand):
    help = "Check the whole record book against the tables, and name the first entry that was changed, dropped or slipped in."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--all", action="store_true", help="name every bad entry, not only the first")

    def handle(self, *args: Any, **options: Any) -> None:
        number, digest = head()
        bad = 0
        for fault in faults():
            where = f"Entry {fault.number} ({fault.kind})" if fault.number else "Not in the book"
            self.stderr.write(f"{where}: {fault.problem}.")
            bad += 1
            if not options["all"]:
                break
        if bad:
            raise CommandError("The record book does not hold. Keep this database as it is and look into it.")
        self.stdout.write(f"The record book is whole: {number} entries, head {digest}.")
