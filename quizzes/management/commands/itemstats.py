"""What do the answers in a CSV file say about each question and about the whole test?"""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext, ngettext

from procedures.management.progress import Progress
from quizzes.management.files import text_of
from quizzes.psychometrics.answers import Answers, BadTable, read_answers, read_key
from quizzes.psychometrics.items import ItemFigures, item_figures
from quizzes.psychometrics.rasch import Difficulty, difficulties
from quizzes.psychometrics.reliability import Whole, whole_figures
from quizzes.psychometrics.responses import count
from quizzes.records.wording.say import say

FIGURES = (
    "item",
    "share_right",
    "share_low",
    "share_high",
    "item_rest",
    "item_total",
    "upper_lower",
    "alpha_without",
)


class Command(BaseCommand):
    help = gettext(
        "Figures of a test from a table of answers: a header of items, one row a "
        "person (the first column may be named person), 1 and 0 or, with a key, the "
        "options chosen; an empty cell was not answered and counts as wrong."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE.csv", help=gettext("the answers"))
        parser.add_argument(
            "--key",
            metavar="KEY.csv",
            help=gettext(
                "which option is right: columns item, key and, if you like, options (A B C D)"
            ),
        )
        parser.add_argument(
            "--format",
            choices=["text", "json"],
            default="text",
            help=gettext("how the figures are told"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell the figures. Raises CommandError where a table can't be taken."""
        with Progress(self.stderr) as tell:
            tell(gettext("Reading the answers"))
            text = text_of(options["file"])
            try:
                key = None if options["key"] is None else read_key(text_of(options["key"]))
                answers = read_answers(text, key)
            except BadTable as bad:
                raise CommandError(say(bad.remark)) from bad
            tell(
                ngettext(
                    "Counting the answers of {count} person",
                    "Counting the answers of {count} people",
                    len(answers.chosen),
                ).format(count=len(answers.chosen))
            )
            counts = count(answers)
            tell(gettext("Working out the figures of each question"))
            figures = (whole_figures(counts), item_figures(counts))
            tell(gettext("Working out how hard each question is"))
            found = (*figures, difficulties(counts))
        told = _as_json(answers, *found) if options["format"] == "json" else _as_text(*found)
        self.stdout.write(told)


def _as_json(
    answers: Answers, test: Whole, items: tuple[ItemFigures, ...], rasch: tuple[Difficulty, ...]
) -> str:
    whole = {name: getattr(test, name) for name in ("people", "mean", "sd", "alpha", "sem")}
    rows = [
        {name: getattr(item, name) for name in FIGURES}
        | {
            "options": []
            if answers.is_marked
            else [
                {"option": one.option, "share": one.share, "r_rest": one.r_rest}
                for one in item.options
            ],
            "flags": list(map(say, item.flags)),
        }
        for item in items
    ]
    hard = [
        {"item": one.item, "difficulty": one.difficulty, "se": one.se}
        | ({"note": say(one.note)} if one.note else {})
        for one in rasch
    ]
    return json.dumps(
        whole | {"items": rows, "rasch": hard}, indent=1, ensure_ascii=False, allow_nan=False
    )


def _as_text(test: Whole, items: tuple[ItemFigures, ...], rasch: tuple[Difficulty, ...]) -> str:
    lines = [
        ngettext(
            "{count} person, mean {mean}, sd {sd}, alpha {alpha}, sem {sem}",
            "{count} people, mean {mean}, sd {sd}, alpha {alpha}, sem {sem}",
            test.people,
        ).format(
            count=test.people,
            mean=_said(test.mean),
            sd=_said(test.sd),
            alpha=_said(test.alpha),
            sem=_said(test.sem),
        ),
        f"{'item':20} {'right':>7} {'from':>7} {'to':>7} {'rest':>7} {'up-low':>7} "
        f"{'hard':>7} {'± se':>7}",
    ]
    for item, one in zip(items, rasch, strict=True):
        figures = (
            item.share_right,
            item.share_low,
            item.share_high,
            item.item_rest,
            item.upper_lower,
            one.difficulty,
            one.se,
        )
        lines.append(f"{item.item:20} " + " ".join(f"{_said(figure):>7}" for figure in figures))
        lines += [f"    {say(each)}" for each in (*item.flags, one.note) if each]
    return "\n".join(lines)


def _said(figure: float | None) -> str:
    return "–" if figure is None else f"{figure:.3f}"
