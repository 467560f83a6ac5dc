"""manage.py book: is the record book whole, and does it agree with the tables?"""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Iterator, Mapping
from datetime import datetime, time
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import CommandError
from django.utils import timezone

from procedures.management.progress import Progress
from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.exchange import cells
from training.exchange.book_lines import book_lines
from training.exchange.checkpoints import faults_against, make_checkpoint, read_checkpoints
from training.management.prepared import ShopCommand
from training.models import BookEntry, Workshop
from training.records.book.chain import Break
from training.records.keeping import SEAL, digest_of, faults, head, seal_faults

LONGEST = 15  # digits of an entry's number


class Command(ShopCommand):
    help = (
        "Check the whole record book against the tables, and name the first entry that was "
        "changed, dropped or slipped in."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--all", action="store_true", help="name every bad entry, not only the first"
        )
        parser.add_argument(
            "--since",
            default="",
            metavar="NUMBER|DATE",
            help="only check from this entry or day on",
        )
        parser.add_argument(
            "--export",
            default="",
            metavar="FILE|-",
            help="write the book as JSON lines; checks nothing",
        )
        parser.add_argument(
            "--checkpoint",
            nargs="?",
            const="-",
            default="",
            metavar="FILE",
            help="check, then write a signed checkpoint",
        )
        parser.add_argument(
            "--against",
            nargs="+",
            type=Path,
            default=[],
            metavar="CHECKPOINT.json",
            help="checkpoints kept elsewhere",
        )
        parser.add_argument(
            "--key",
            default="",
            metavar="HEX",
            help="the public key that signed them, if not this site's",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if options["export"]:
                self._export(options["export"])
                return
            # what is written to the terminal's output is to be read by a program, so people are
            # told beside it
            say = self.stderr if options["checkpoint"] == "-" else self.stdout
            for line in self._check(first_entry(options["since"]), options):
                say.write(line)
            if options["checkpoint"]:
                self._write(options["checkpoint"], iter([make_checkpoint(timezone.now()) + "\n"]))
        except Refused as refused:
            raise CommandError(refused.message) from refused

    def _check(self, first: int, options: Mapping[str, Any]) -> list[str]:
        """What is to be said of a book that holds. Raises CommandError for one that does not."""
        checkpoints = (
            read_checkpoints(options["against"], trusted=options["key"])
            if options["against"]
            else []
        )
        bad, total = 0, head()[0]
        with Progress(self.stderr) as tell:
            for fault in self._found(
                first, checkpoints, lambda number: tell(f"Entry {number} of {total}")
            ):
                self.stderr.write(f"{_where(fault)}{fault.problem}.")
                bad += 1
                if not options["all"]:
                    break
        if bad:
            raise CommandError(
                "The record book does not hold. Keep this database as it is and look into it."
            )
        number, digest = head()
        whole = f"The record book is whole: {number} entries, head {digest}."
        if first > 1:
            whole = (
                f"The record book is whole from entry {first} on: {number} entries, head "
                f"{digest}. Taken for granted: "
            )
            whole += (
                f"entries 1 to {first - 1}, with the digest {digest_of(first - 1)} of the last of "
                "them."
            )
        passed = [
            f"It passes through the checkpoint of {say_day(made.written_at)}, entry {made.number}."
            for made in checkpoints
        ]
        return [whole, *passed]

    def _found(self, first: int, checkpoints: Any, seen: Any) -> Iterator[Break]:
        yield from faults(first, seen)
        yield from seal_faults()
        yield from faults_against(checkpoints)

    def _export(self, target: str) -> None:
        with Progress(self.stderr) as tell:
            self._write(target, _with_progress(book_lines(), tell))

    def _write(self, target: str, lines: Iterator[str]) -> None:
        if target == "-":
            for line in lines:
                self.stdout.write(line, ending="")
            return
        try:
            with Path(target).open("w", encoding="utf-8", newline="\n") as file:
                file.writelines(lines)
        except OSError as error:
            raise CommandError(f"{target} cannot be written: {error.strerror}.") from error
        self.stdout.write(f"Written to {target}.")


def _where(fault: Break) -> str:
    if fault.number:
        return f"Entry {fault.number} ({fault.kind}): "
    return "" if fault.kind == SEAL else "Not in the book: "


def _with_progress(lines: Iterator[str], tell: Progress) -> Iterator[str]:
    total = head()[0]
    for place, line in enumerate(lines):
        tell(f"Entry {place} of {total}")
        yield line


def first_entry(since: str) -> int:
    """The entry to begin with: the first, the one of a number, or the first one of a day. Raises
    Refused.
    """
    if not since:
        return 1
    last = head()[0]
    if since.isascii() and since.isdigit() and len(since) <= LONGEST:
        number = int(since)
        if not 1 <= number <= last:
            raise Refused(f"There is no entry {since}: the book goes from entry 1 to entry {last}.")
        return number
    try:
        day = cells.day(since)
    except cells.Expected as expected:
        raise Refused(
            f"'{since}' is neither the number of an entry nor a day; expected {expected}."
        ) from expected
    workshop = Workshop.objects.order_by("pk").first()
    zone = ZoneInfo(workshop.time_zone) if workshop else timezone.get_default_timezone()
    found = (
        BookEntry.objects.filter(written_at__gte=datetime.combine(day, time(), zone))
        .order_by("number")
        .first()
    )
    if found is None:
        raise Refused(f"Nothing was written into the book since {since}.")
    return found.number
