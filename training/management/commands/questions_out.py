"""manage.py questions_out FILE.zip: the questions for another program."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import ngettext

from procedures.records.refused import Refused
from training.exchange.question_package import LEFT_OUT, write_package
from training.management.days import today
from training.management.prepared import ShopCommand


class Command(ShopCommand):
    help = "Write the questions that are in use into one file, as items of QTI 3.0.1."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.zip", help="a file that is not there")
        parser.add_argument(
            "--writeup",
            action="append",
            default=[],
            metavar="NAME",
            help="only questions of this write-up; name it once for each",
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            data, lines = write_package(options["writeup"], today())
        except Refused as refused:
            raise CommandError(refused.message) from refused
        try:
            with options["file"].open("xb") as file:
                file.write(data)
        except OSError as error:
            raise CommandError(f"{options['file']}: {error.strerror}.") from error
        if options["format"] == "json":
            self.stdout.write(json.dumps([asdict(one) for one in lines], ensure_ascii=False))
            return
        for one in lines:
            if one.became == LEFT_OUT:
                self.stdout.write(f"{one.question}: {' '.join(one.said)}")
        count = sum(one.became != LEFT_OUT for one in lines)
        self.stdout.write(
            ngettext("{n} question is in {file}.", "{n} questions are in {file}.", count).format(
                n=count, file=options["file"]
            )
        )
