"""How likely does a guesser pass a quiz, and somebody who knows so much of it?"""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext

from procedures.records.above import shop_now
from quizzes.marking.drawn import TooManyWays
from quizzes.models import Quiz
from quizzes.psychometrics.odds import LEVELS, chance_of_passing, make_alike
from quizzes.psychometrics.second_tries import chance_of_passing_alike
from quizzes.records.wording.say import say
from quizzes.reports.odds import PASS_PERCENT, quiz_odds

MOST = 500  # questions


class Command(BaseCommand):
    help = gettext(
        "The chance to pass a quiz, exactly: for somebody who guesses everything, "
        "for people who know from 50 to 95 % of the bank and guess the rest, "
        "and for somebody who has sat it once and knows what was asked there. Of a "
        "quiz that is described, or of one that the shop has."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--quiz", metavar="NAME", help=gettext("a quiz of the shop, as it draws today")
        )
        parser.add_argument(
            "--percent",
            type=int,
            metavar="P",
            help=gettext(
                "its pass mark; without it that of its level or newest sitting, or {percent}"
            ).format(percent=PASS_PERCENT),
        )
        _describe(parser)
        parser.add_argument(
            "--format",
            choices=["text", "json"],
            default="text",
            help=gettext("how the chances are told"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell the chances. Raises CommandError for numbers that make no quiz and for a quiz that
        is not there.
        """
        found = self._stored(options) if options["quiz"] else self._described(options)
        if options["format"] == "json":
            self.stdout.write(json.dumps(found, indent=1, ensure_ascii=False))
            return
        lines = [gettext("guesses everything: {chance:.6f}").format(chance=found["guesser"])]
        if found.get("sat_once") is not None:
            text = (
                gettext(
                    "has sat once, knows what was asked there, guesses the rest: at most "
                    "{chance:.6f}"
                )
                if found["is_at_most"]
                else gettext(
                    "has sat once, knows what was asked there, guesses the rest: {chance:.6f}"
                )
            )
            lines.append(text.format(chance=found["sat_once"]))
        lines += [
            gettext("knows {share:.0%}: {chance:.6f}").format(share=float(level), chance=chance)
            for level, chance in found["knows"].items()
        ]
        self.stdout.write("\n".join([*lines, *found.get("warnings", [])]))

    def _described(self, options: dict[str, Any]) -> dict[str, Any]:
        items, choices, need, critical = (
            options[name] for name in ("items", "options", "need", "critical")
        )
        if items is None or choices is None or need is None:
            raise CommandError(
                gettext(
                    "Name a quiz with --quiz, or describe one with --items, --options and --pass."
                )
            )
        if (
            not 1 <= items <= MOST
            or choices < 1
            or not 0 <= need <= items
            or not 0 <= critical <= items
        ):
            raise CommandError(
                gettext(
                    "--items must be 1 to {most}, --options at least 1, and --pass and "
                    "--critical from 0 to the number of items."
                ).format(most=MOST)
            )
        guesser, *knows = (
            chance_of_passing_alike(choices, items, critical, need, (0, *LEVELS))
            if options["second_try"]
            else chance_of_passing(make_alike(choices, items, critical), need, (0, *LEVELS))
        )
        return {"guesser": guesser, "knows": _by_level(knows)}

    def _stored(self, options: dict[str, Any]) -> dict[str, Any]:
        quiz = Quiz.objects.filter(name=options["quiz"]).first()
        if quiz is None:
            names = ", ".join(
                Quiz.objects.order_by("name").values_list("name", flat=True)
            ) or gettext("none yet")
            raise CommandError(
                gettext("There is no quiz “{quiz}”. The shop has: {names}.").format(
                    quiz=options["quiz"], names=names
                )
            )
        percent = options["percent"]
        if percent is not None and not 0 <= percent <= 100:
            raise CommandError(gettext("The pass mark must be from 0 to 100."))
        try:
            odds = quiz_odds(quiz, today=timezone.localdate(shop_now()), percent=percent)
        except TooManyWays as many:
            raise CommandError(say(many.remark)) from many
        if odds is None:
            raise CommandError(
                gettext("The quiz “{name}” has nothing to ask today.").format(name=quiz.name)
            )
        return {
            "guesser": odds.guesser,
            "sat_once": odds.sat_once,
            "is_at_most": odds.is_at_most,
            "knows": _by_level(odds.knows),
            "quiz": quiz.name,
            "percent": odds.percent,
            "questions": odds.questions,
            "critical": odds.critical,
            "warnings": list(odds.warnings),
        }


def _describe(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--items", type=int, metavar="N", help=gettext("without --quiz: how many questions")
    )
    parser.add_argument(
        "--options",
        type=int,
        metavar="C",
        help=gettext("options of each question, of which one is right"),
    )
    parser.add_argument(
        "--pass", type=int, dest="need", metavar="K", help=gettext("how many must be right")
    )
    parser.add_argument(
        "--critical",
        type=int,
        default=0,
        metavar="M",
        help=gettext("how many of them are critical and must all be right"),
    )
    parser.add_argument(
        "--second-try",
        action="store_true",
        help=gettext(
            "a critical one answered wrong has one second try, which is right with the "
            "same chance; a quiz of the shop always has them"
        ),
    )


def _by_level(chances: Any) -> dict[str, float]:
    return {str(float(level)): chance for level, chance in zip(LEVELS, chances, strict=True)}
