"""Which jobs and people has a faulty revision, a wrong tool or somebody's hand touched?"""

import json
from argparse import ArgumentTypeError
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.utils.translation import gettext

from procedures.models import WriteUp
from procedures.records.days.reader import say_day
from training.management.prepared import ShopCommand
from training.models import User
from training.reports.recall import Recalled, RecallPage, marks_like, recall_page


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(
            gettext("“{text}” is not a day. Write it like 2026-11-25.").format(text=text)
        ) from None


class Command(ShopCommand):
    help = gettext(
        "List every job, observation and person that a tool, a revision or one person has touched."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--tool", default="", help=gettext("the mark of a tool, such as TW-2"))
        parser.add_argument(
            "--revision",
            default="",
            metavar="NAME[:N]",
            help=gettext("a write-up, or one revision of it"),
        )
        parser.add_argument(
            "--person",
            default="",
            metavar="LOGIN",
            help=gettext("the person who did the work, watched or signed"),
        )
        parser.add_argument("--since", type=_day, metavar="DATE")
        parser.add_argument("--until", type=_day, metavar="DATE")
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        asked = _asked(options)
        page = recall_page(asked)
        if options["format"] == "json":
            self.stdout.write(json.dumps(_as_json(page), ensure_ascii=False, indent=1))
            return
        for line in _as_text(page):
            self.stdout.write(line)
        if asked.tool and not page.rows and (near := marks_like(asked.tool)):
            self.stdout.write(
                gettext(
                    "Nothing is on record with the tool {tool}. Did you mean one of these: {marks}?"
                ).format(tool=asked.tool, marks=", ".join(near))
            )


def _asked(options: Mapping[str, Any]) -> Recalled:
    """What was asked for. Raises CommandError for nothing, and for what the shop does not have."""
    name, _, number = options["revision"].partition(":")
    if not (options["tool"] or name or options["person"]):
        raise CommandError(
            gettext("Name what to recall from: --tool, --revision or --person."), returncode=2
        )
    if number and not number.isdecimal():
        raise CommandError(
            gettext("“{number}” is not the number of a revision.").format(number=number),
            returncode=2,
        )
    if options["person"] and not User.objects.filter(login=options["person"]).exists():
        raise CommandError(
            gettext("Nobody here has the login “{person}”.").format(person=options["person"]),
            returncode=2,
        )
    if name and not WriteUp.objects.filter(name=name).exists():
        raise CommandError(
            gettext(
                "There is no write-up “{name}”. Use the short name from its address, such as "
                "air-spring-service."
            ).format(name=name),
            returncode=2,
        )
    return Recalled(
        tool=" ".join(options["tool"].split()).upper(),
        writeup=name,
        revision=int(number) if number else None,
        person=options["person"],
        since=options["since"],
        until=options["until"],
    )


def _as_json(page: RecallPage) -> dict[str, Any]:
    return {
        "rows": [
            {
                "on": row.on.isoformat(),
                "kind": row.kind,
                "login": row.login,
                "level": row.title,
                "beside": row.beside,
                "fork": row.fork,
                "came_back": row.came_back,
                "note": row.note,
            }
            for row in page.rows
        ],
        "people": list(page.people),
        "signed_off": [
            {"on": on.isoformat(), "name": who, "level": title}
            for on, who, title in page.signed_off
        ],
    }


def _as_text(page: RecallPage) -> Iterator[str]:
    for row in page.rows:
        told = [
            say_day(row.on),
            row.person,
            row.kind,
            row.title,
            row.beside,
            row.fork,
            gettext("came back") if row.came_back else "",
            row.note,
        ]
        yield ", ".join(part for part in told if part)
    for on, who, title in page.signed_off:
        yield gettext("{day}, signed off {name}, {title}").format(
            day=say_day(on), name=who, title=title
        )
    yield gettext("Jobs and observations: {jobs}. People: {people}.").format(
        jobs=len(page.rows), people=len(page.people)
    )
