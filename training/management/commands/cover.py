"""manage.py cover: who is at work and may work alone on each day, against what the owner wants?"""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.management.days import day_of, today
from training.management.prepared import ShopCommand
from training.management.text_table import table
from training.models import shop_now
from training.reports.cover_told import CoverSpan, cover_told


class Command(ShopCommand):
    help = gettext(
        "Say for every day how many people at work may work alone, and how many are missing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--from", dest="first", type=day_of, metavar="DAY", required=True)
        parser.add_argument("--to", dest="until", type=day_of, metavar="DAY", required=True)
        parser.add_argument(
            "--pace",
            choices=["usual", "none"],
            default="none",
            help=gettext("usual: everybody goes on doing as many jobs as in the last year"),
        )
        parser.add_argument(
            "--without",
            nargs="+",
            action="extend",
            default=[],
            metavar="LOGIN",
            help=gettext("people to leave out"),
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        asked = CoverSpan(
            options["first"],
            options["until"],
            options["pace"] == "usual",
            tuple(dict.fromkeys(options["without"])),
        )
        try:
            told = cover_told(asked, on=today(), now=shop_now())
        except Refused as refused:
            raise CommandError(refused.message) from refused
        if options["format"] == "json":
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
        else:
            self.stdout.write(as_text(told))


def as_text(told: list[dict[str, Any]]) -> str:
    """The cover for people to read."""
    if not told:
        return gettext(
            "Nobody is wanted on these days. Set how many people you need on the page Rota."
        )
    rows = [
        (
            one["day"],
            one["workshop"],
            one["level"],
            str(one["want"]),
            ", ".join(one["have"]) or gettext("nobody"),
            str(one["gap"]) if one["gap"] else "",
        )
        for one in told
    ]
    return table(
        (
            gettext("day"),
            gettext("workshop"),
            gettext("level"),
            gettext("wanted"),
            gettext("alone"),
            gettext("missing"),
        ),
        rows,
    )
