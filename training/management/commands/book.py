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
from django.utils.translation import gettext, ngettext

from procedures.management.progress import Progress
from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.exchange.backups.book_lines import book_lines
from training.exchange.backups.checkpoints import faults_against, make_checkpoint, read_checkpoints
from training.exchange.folder import cells
from training.management.prepared import ShopCommand
from training.models import BookEntry, Workshop
from training.records.book.chain import Break
from training.records.keeping import digest_of, faults, head, seal_faults
from training.records.wording.breaks import say_break

LONGEST = 15  # digits of an entry's number


class Command(ShopCommand):
    help = gettext(
        "Check the whole record book against the tables, and name the first entry "
        "that was changed, dropped or slipped in."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--all", action="store_true", help=gettext("name every bad entry, not only the first")
        )
        parser.add_argument(
            "--since",
            default="",
            metavar="NUMBER|DATE",
            help=gettext("only check from this entry or day on"),
        )
        parser.add_argument(
            "--export",
            default="",
            metavar="FILE|-",
            help=gettext("write the book as JSON lines; checks nothing"),
        )
        parser.add_argument(
            "--checkpoint",
            nargs="?",
            const="-",
            default="",
            metavar="FILE",
            help=gettext("check, then write a signed checkpoint"),
        )
        parser.add_argument(
            "--against",
            nargs="+",
            type=Path,
            default=[],
            metavar="CHECKPOINT.json",
            help=gettext("checkpoints that you kept in another place"),
        )
        parser.add_argument(
            "--key",
            default="",
            metavar="HEX",
            help=gettext("the public key that signed them, if not this site's"),
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
                first,
                checkpoints,
                lambda number: tell(
                    gettext("Entry {number} of {total}").format(number=number, total=total)
                ),
            ):
                self.stderr.write(say_break(fault))
                bad += 1
                if not options["all"]:
                    break
        if bad:
            raise CommandError(
                gettext(
                    "The record book failed its check. Leave this database as it is, and find "
                    "out what happened."
                )
            )
        text = gettext("It passes through the checkpoint of {day}, entry {number}.")
        passed = [
            text.format(day=say_day(made.written_at), number=made.number) for made in checkpoints
        ]
        return [*_whole(first), *passed]

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
            raise CommandError(
                gettext("{target} cannot be written: {strerror}.").format(
                    target=target, strerror=error.strerror
                )
            ) from error
        self.stdout.write(gettext("Written to {target}.").format(target=target))


def _whole(first: int) -> Iterator[str]:
    number, code = head()
    counted = ngettext("{count} entry", "{count} entries", number).format(count=number)
    if first == 1:
        text = gettext("The record book is whole: {counted}, check code {code}.")
        yield text.format(counted=counted, code=code)
        return
    text = gettext("The record book is whole from entry {first} on: {counted}, check code {code}.")
    yield text.format(first=first, counted=counted, code=code)
    before = gettext("Not checked: entries 1 to {last}, up to the check code {code}.")
    yield before.format(last=first - 1, code=digest_of(first - 1))


def _with_progress(lines: Iterator[str], tell: Progress) -> Iterator[str]:
    total = head()[0]
    for place, line in enumerate(lines):
        tell(gettext("Entry {place} of {total}").format(place=place, total=total))
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
            raise Refused(
                gettext(
                    "There is no entry {since}: the book goes from entry 1 to entry {last}."
                ).format(since=since, last=last)
            )
        return number
    try:
        day = cells.read_day(since)
    except cells.Expected as expected:
        raise Refused(
            gettext(
                "'{since}' is neither the number of an entry nor a day; expected {expected}."
            ).format(since=since, expected=expected)
        ) from expected
    workshop = Workshop.objects.order_by("pk").first()
    zone = ZoneInfo(workshop.time_zone) if workshop else timezone.get_default_timezone()
    found = (
        BookEntry.objects.filter(written_at__gte=datetime.combine(day, time(), zone))
        .order_by("number")
        .first()
    )
    if found is None:
        raise Refused(gettext("Nothing was saved in the book since {since}.").format(since=since))
    return found.number
