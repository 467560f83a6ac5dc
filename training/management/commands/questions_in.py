"""manage.py questions_in FILE.zip --by LOGIN: questions from another program."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.question_package import CAME, LEFT_OUT, SAME, bring_package
from training.management.prepared import ShopCommand
from training.models import User, shop_now


class Command(ShopCommand):
    help = (
        "Bring in questions from a package of QTI 3.0.1 items. Nothing is asked before another "
        "person accepts it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE.zip", help="the package")
        parser.add_argument("--by", required=True, metavar="LOGIN", help="who brings them in")
        parser.add_argument(
            "--writeup", default="", metavar="NAME", help="for items that name no write-up"
        )
        parser.add_argument(
            "--step",
            action="append",
            default=[],
            metavar="ID",
            help="for items that name no step; name it once for each",
        )
        parser.add_argument(
            "--check", action="store_true", help="only say what would come in; write nothing"
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            by = User.objects.filter(login=options["by"]).first()
            if by is None:
                raise Refused(
                    gettext("There is nobody with the login “{login}”.").format(login=options["by"])
                )
            lines = bring_package(
                options["file"].read_bytes(),
                by=by,
                writeup=options["writeup"],
                steps=options["step"],
                now=shop_now(),
                only_check=options["check"],
            )
        except OSError as error:
            raise CommandError(f"{options['file']}: {error.strerror}.") from error
        except Refused as refused:
            raise CommandError(" ".join([refused.message, *refused.details])) from refused
        if options["format"] == "json":
            self.stdout.write(json.dumps([asdict(one) for one in lines], ensure_ascii=False))
        else:
            said = {
                CAME: gettext("would come in") if options["check"] else gettext("came in"),
                SAME: gettext("is there already"),
                LEFT_OUT: gettext("was left out"),
            }
            for one in lines:
                because = f" {' '.join(one.said)}" if one.said else ""
                name = one.question or one.where
                self.stdout.write(f"{name}: {said[one.became]}.{because}")
        if any(one.became == LEFT_OUT for one in lines):
            raise CommandError(gettext("Some items were left out. The lines above say why."))
