"""manage.py matrix FILE --by LOGIN: bring in the list of who is signed off for what."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.folder.bring import Faulty
from training.exchange.matrix.answered import read_answers
from training.exchange.matrix.bringing import Outcome, bring_matrix, sheets_of
from training.exchange.matrix.meaning import Understood
from training.exchange.matrix.telling import lines, make_json
from training.management.prepared import ShopCommand
from training.models import User
from training.records.keeping import head


class Command(ShopCommand):
    help = gettext(
        "Bring in the shop's own list of names and services (.xlsx, .ods or .csv): "
        "people, levels and first sign-offs with their days; everything, or nothing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help=gettext("the shop's list"))
        parser.add_argument(
            "--by", required=True, metavar="LOGIN", help=gettext("the owner who brings it")
        )
        parser.add_argument(
            "--answers",
            type=Path,
            metavar="FILE.yaml",
            help=gettext("a file with answers to what the list leaves open"),
        )
        parser.add_argument(
            "--check", action="store_true", help=gettext("only say what it means; save nothing")
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            given = read_answers(options["answers"])
            by = User.objects.filter(login=options["by"]).first()
            if by is None:
                raise Refused(
                    gettext("There is nobody with the login “{by}”.").format(by=options["by"])
                )
            if not options["file"].is_file():
                raise Refused(gettext("There is no file {file}.").format(file=options["file"]))
            sheets, faults = sheets_of(options["file"])
            outcome = Outcome(Understood(faults=faults))
            if sheets:
                outcome = bring_matrix(sheets, by=by, given=given, only_check=options["check"])
        except Refused as refused:
            raise CommandError(refused.message) from refused
        except Faulty as faulty:
            raise CommandError("\n".join(str(fault) for fault in faulty.faults)) from faulty
        if options["format"] == "json":
            told = make_json(outcome) | {"book_head": head()[1]}
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
        else:
            self.stdout.write("\n".join(lines(outcome)))
        if not outcome.understood.is_ready:
            raise CommandError(
                gettext("Nothing was brought in. Answer what is asked, and try again.")
            )
