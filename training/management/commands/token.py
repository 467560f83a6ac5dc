"""manage.py token NAME: the right of another program to ask this site."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.actions.programs import end_token, make_token
from training.management.days import day_of, today
from training.management.prepared import ShopCommand
from training.models import shop_now
from training.models.programs import SCOPES, ProgramToken


class Command(ShopCommand):
    help = gettext("Give a program a token with which it may ask this site; it is shown once.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", help=gettext("what the program is called"))
        parser.add_argument(
            "--scope",
            action="append",
            default=[],
            choices=list(SCOPES),
            help=gettext("what it may do; name it once for each"),
        )
        parser.add_argument(
            "--until", type=day_of, metavar="DAY", help=gettext("the last day it works")
        )
        parser.add_argument(
            "--end", action="store_true", help=gettext("end the token of this name now")
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["end"]:
            self._end(options["name"])
            return
        if not options["scope"] or not options["until"]:
            raise CommandError(
                gettext("Say what it may do (--scope may:read) and how long (--until DAY).")
            )
        try:
            row, secret = make_token(
                name=options["name"],
                scopes=options["scope"],
                until=options["until"],
                by=None,
                today=today(),
                now=shop_now(),
            )
        except Refused as refused:
            raise CommandError(refused.message) from refused
        if options["format"] == "json":
            told = {
                "name": row.name,
                "scopes": row.scopes,
                "until": row.until.isoformat(),
                "token": secret,
            }
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
        else:
            self.stdout.write(secret)

    def _end(self, name: str) -> None:
        row = ProgramToken.objects.filter(name=name, ended_at__isnull=True).first()
        if row is None:
            raise CommandError(
                gettext("There is no open token of the name '{name}'.").format(name=name)
            )
        end_token(row=row, by=None, now=shop_now())
        self.stdout.write(gettext("The token of {name} is ended.").format(name=name))
