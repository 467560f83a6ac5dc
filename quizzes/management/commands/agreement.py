"""How far do the observers in a CSV file agree?"""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext

from quizzes.management.files import text_of
from quizzes.psychometrics.agreement import (
    ac1,
    alpha,
    count_pairable,
    cross_tabulate,
    interval,
    kappa,
    nominal,
    ordinal,
)
from quizzes.psychometrics.answers import BadTable
from quizzes.psychometrics.likelihood import kappa_interval
from quizzes.psychometrics.observations import Observations, read_observations
from quizzes.records.wording.say import say


class Command(BaseCommand):
    help = gettext(
        "Agreement of observers from a table: one row a unit (the first column may "
        "be named unit), one column an observer; an empty cell, - or NA was not "
        "judged. Kappa takes two observers; alpha takes any number."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE.csv", help=gettext("the judgements"))
        parser.add_argument(
            "--format",
            choices=["text", "json"],
            default="text",
            help=gettext("how the figures are told"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell the figures. Raises CommandError where the table can't be taken."""
        try:
            observations = read_observations(text_of(options["file"]))
        except BadTable as bad:
            raise CommandError(say(bad.remark)) from bad
        found = _figures(observations)
        if options["format"] == "json":
            self.stdout.write(json.dumps(found, indent=1, allow_nan=False))
        else:
            self.stdout.write(
                "\n".join(f"{name:15} {_said(figure)}" for name, figure in found.items())
            )


def _figures(observations: Observations) -> dict[str, float | None]:
    found: dict[str, float | None] = {
        "units": len(observations.units),
        "observers": len(observations.observers),
        "agreement": None,
        "ac1": None,
        "kappa": None,
        "kappa_low": None,
        "kappa_high": None,
    }
    _, table = cross_tabulate(observations.units)
    if len(observations.observers) == 2 and table:
        both = kappa(table)
        low, high = kappa_interval(table) or (None, None)
        found |= {"agreement": both.observed, "ac1": ac1(table)}
        found |= {"kappa": both.kappa, "kappa_low": low, "kappa_high": high}
    # Words have no order that the table tells, so only whether they are the same counts.
    numbers = observations.units if observations.are_numbers else ()
    return found | {
        "alpha_nominal": alpha(observations.units, nominal),
        "alpha_ordinal": alpha(numbers, ordinal),
        "alpha_interval": alpha(numbers, interval),
        "pairable": count_pairable(observations.units),
    }


def _said(figure: float | None) -> str:
    return "–" if figure is None else str(figure) if isinstance(figure, int) else f"{figure:.6f}"
