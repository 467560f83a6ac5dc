"""manage.py plan: who is trained or renewed for which level, when and with whom?"""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext, gettext_lazy

from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from training.cover.columns import SECONDS, NoAnswerError
from training.management.days import day_of, today
from training.management.prepared import ShopCommand
from training.management.text_table import table
from training.models import shop_now
from training.reports.cover_told import plan_told
from training.reports.plan import PlanAsked
from training.reports.plan_page import WHY

STATUS = {
    "optimal": gettext_lazy("No plan is better."),
    "feasible": gettext_lazy("There may be a better plan. Ask for fewer weeks."),
    "cannot": gettext_lazy("No training closes a gap."),
}


class Command(ShopCommand):
    help = gettext("Say which training gives the cover that is wanted, soon and in few hours.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--from", dest="first", type=day_of, metavar="DAY", required=True)
        parser.add_argument("--weeks", type=int, metavar="N", required=True)
        parser.add_argument("--own", type=float, default=2.0, help=gettext("hours a day to learn"))
        parser.add_argument(
            "--senior", type=float, default=1.0, help=gettext("hours a day to teach")
        )
        parser.add_argument(
            "--at-once", type=int, default=1, help=gettext("levels at once for a person")
        )
        parser.add_argument("--pace", choices=["usual", "none"], default="none")
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        hours = (options["own"], options["senior"])
        if not all(0 <= number <= 8 for number in hours) or not 1 <= options["at_once"] <= 6:
            raise CommandError(gettext("Name 0 to 8 hours a day and 1 to 6 levels at once."))
        at_pace = options["pace"] == "usual"
        asked = PlanAsked(options["weeks"], *hours, options["at_once"], at_pace=at_pace)
        try:
            told = plan_told(asked, first=options["first"], on=today(), now=shop_now())
        except Refused as refused:
            raise CommandError(refused.message) from refused
        except NoAnswerError as error:
            raise CommandError(
                gettext("No plan was found in {seconds:.0f} seconds. Ask for fewer weeks.").format(
                    seconds=SECONDS
                )
            ) from error
        if options["format"] == "json":
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
        else:
            self.stdout.write(as_text(told))


def as_text(told: dict[str, Any]) -> str:
    """The plan for people to read."""
    said = [
        gettext("Days short: {before} without a plan, {after} with it.").format(
            before=told["gap_before"], after=told["gap_after"]
        ),
        gettext("Hours that it takes: {hours:g}.").format(hours=told["cost_hours"]),
        str(STATUS[told["status"]]),
    ]
    rows = [
        (
            line["login"],
            line["level"],
            line["kind"],
            _weeks(line["weeks"]),
            f"{line['hours']:g}",
            ", ".join(line["with"]),
            str(len(line["closes"])),
        )
        for line in told["lines"]
    ]
    if rows:
        said += ["", table(_of_lines(), rows)]
    short = [
        (one["day"], one["workshop"], one["level"], str(one["gap"]), str(WHY[one["why"]]))
        for one in told["unmet"]
    ]
    if short:
        columns = (
            gettext("day"),
            gettext("workshop"),
            gettext("level"),
            gettext("missing"),
            gettext("because"),
        )
        said += ["", gettext("Still short:"), table(columns, short)]
    return "\n".join(said)


def _of_lines() -> tuple[str, ...]:
    return (
        gettext("person"),
        gettext("level"),
        gettext("what"),
        gettext("weeks from"),
        gettext("hours"),
        gettext("with"),
        gettext("days closed"),
    )


def _weeks(firsts: list[str]) -> str:
    return ", ".join(say_day(date.fromisoformat(first)) for first in firsts)
