"""Which pass mark do several judges set together, and how far do they differ?"""

import json
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext, ngettext

from procedures.writeup.remarks import remark
from quizzes.management.files import text_of
from quizzes.psychometrics.answers import BadTable, read_grid
from quizzes.psychometrics.cut_score import BadRatings, CutScore, angoff
from quizzes.records.wording.say import say


class Command(BaseCommand):
    help = gettext(
        "Cut score by modified Angoff from a table: one row a judge (the first "
        "column may be named judge), one column a question; each cell the chance, 0 "
        "to 1, that somebody who may just about work alone has it right."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE.csv", help=gettext("the judges' estimates"))
        parser.add_argument(
            "--format",
            choices=["text", "json"],
            default="text",
            help=gettext("how the figures are told"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell the cut score with its spread. Raises CommandError where the table can't be
        taken.
        """
        try:
            grid = read_grid(text_of(options["file"]), "judge")
            found = angoff(
                [_chances(row, line) for row, line in zip(grid.rows, grid.lines, strict=True)]
            )
        except (BadTable, BadRatings) as bad:
            raise CommandError(say(bad.remark)) from bad
        if options["format"] == "json":
            self.stdout.write(
                json.dumps(
                    {"judges": len(found.sums), "items": len(grid.columns)} | asdict(found),
                    indent=1,
                )
            )
        else:
            self.stdout.write(_told(found, len(grid.columns)))


def _chances(row: tuple[str, ...], line: int) -> list[float]:
    try:
        return [float(cell) for cell in row]
    except ValueError as error:
        raise BadTable(remark("no-estimate", line=line)) from error


def _told(found: CutScore, items: int) -> str:
    spread = (
        gettext("One judge only, so the spread is not known.")
        if found.sd is None
        else gettext("Judges' sd {sd:.2f}, standard error {se:.2f}.").format(
            sd=found.sd, se=found.se
        )
    )
    sums = ", ".join(f"{one:.2f}" for one in found.sums)
    cut = ngettext(
        "Cut score {cut:.2f} of {count} question ({share:.1%}).",
        "Cut score {cut:.2f} of {count} questions ({share:.1%}).",
        items,
    ).format(cut=found.cut, count=items, share=found.share)
    told = gettext("The judges' sums: {sums}").format(sums=sums)
    lowest = gettext("The lowest result that passes: {count} right").format(
        count=found.lowest_passing
    )
    return "\n".join((f"{cut} {spread}", told, lowest))
