"""manage.py may LEVEL: who may do this service, on which day, and why not the others?"""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.exchange.asking import fork_of, question_of
from training.management.days import today
from training.management.prepared import ShopCommand
from training.records.wording.presence import say_presence
from training.reports.who_may import LevelAsked, say_if_closed, who_may


class Command(ShopCommand):
    help = gettext(
        "Say who may do a service level, on any day, as known at any instant, with the reasons."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "level", nargs="?", help=gettext("the service level, such as air-spring")
        )
        parser.add_argument(
            "--person", default="", metavar="LOGIN", help=gettext("only this person")
        )
        parser.add_argument("--on", metavar="DATE", help=gettext("the day (default: today)"))
        parser.add_argument(
            "--known-at", metavar="INSTANT", help=gettext("as known at this instant (default: now)")
        )
        parser.add_argument(
            "--variant",
            action="append",
            default=[],
            metavar="K=V",
            help=gettext("an option of the fork"),
        )
        parser.add_argument(
            "--workshop", default="", metavar="NAME", help=gettext("only people of this workshop")
        )
        parser.add_argument(
            "--ask", metavar="FILE.json", type=Path, help=gettext("many questions at once")
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        if bool(options["level"]) == bool(options["ask"]):
            raise CommandError(gettext("Name one level, or give a file of questions with --ask."))
        try:
            questions = read_asked(Path(options["ask"])) if options["ask"] else [_asked_by(options)]
            told = who_may(questions, person=options["person"], workshop=options["workshop"])
        except Refused as refused:
            raise CommandError(refused.message) from refused
        if options["ask"]:
            self.stdout.write(json.dumps(told, ensure_ascii=False))
        elif options["format"] == "json":
            self.stdout.write(json.dumps(told[0], ensure_ascii=False, indent=1))
        else:
            closed = say_if_closed(questions[0].on, options["workshop"])
            self.stdout.write("\n".join(lines(told[0], closed)))


def lines(told: Mapping[str, Any], closed: str) -> list[str]:
    """One answer for people to read: first those who may work alone and are there; above them that
    the shop is closed, where it is.
    """
    found = [closed] if closed else []
    for person in sorted(told["people"], key=_there_first):
        found.append(f"{person['standing']:<8}{_named(person)}")
        found += [f"        - {reason['text']}" for reason in person["reasons"]]
    return found or [gettext("Nobody works here yet.")]


def _named(person: Mapping[str, Any]) -> str:
    name, there = person["name"], say_presence(person["at_work"])
    if not person["lapses_on"]:
        return gettext("{name}, {there}").format(name=name, there=there)
    until = _last_day(person["lapses_on"])
    return gettext("{name}, {there} (until {day})").format(name=name, there=there, day=until)


def _there_first(person: Mapping[str, Any]) -> tuple[int, int]:
    standing = ("alone", "watched", "no").index(person["standing"])
    return standing, (True, None, False).index(person["at_work"])


def _last_day(lapses_on: str) -> str:
    return say_day(date.fromisoformat(lapses_on) - timedelta(days=1))


def read_asked(path: Path) -> list[LevelAsked]:
    """The questions of a file. Raises Refused where it cannot be read."""
    try:
        asked = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise Refused(
            gettext("{path} cannot be read as JSON: {error}").format(path=path, error=error)
        ) from error
    if not isinstance(asked, list) or not all(isinstance(question, dict) for question in asked):
        raise Refused(
            gettext(
                '{path}: expected a list such as [{{"level": "air-spring", "on": "2026-11-25"}}].'
            ).format(path=path)
        )
    return [
        question_of(
            question,
            gettext("question {place} of {file}").format(place=place, file=path.name),
            today(),
        )
        for place, question in enumerate(asked, 1)
    ]


def _asked_by(options: Mapping[str, Any]) -> LevelAsked:
    asked = {
        "level": options["level"],
        "on": options["on"],
        "known_at": options["known_at"],
        "variant": fork_of(options["variant"]),
    }
    return question_of(asked, gettext("the question"), today())
