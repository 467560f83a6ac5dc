"""What do the published guidelines for writing items say of the questions in a file?"""

import json
from argparse import ArgumentParser
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext, ngettext

from quizzes.management.files import text_of
from quizzes.marking.advice import Advice, advise
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.records.wording.say import say_advice, say_fault


class Command(BaseCommand):
    help = gettext(
        "Advice on questions after published guidelines for writing items. It "
        "stops nothing: the command ends with 0."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "files",
            metavar="FILE.yaml",
            nargs="+",
            help=gettext("questions, as a quiz is brought in"),
        )
        parser.add_argument(
            "--format",
            choices=["text", "json"],
            default="text",
            help=gettext("how the advice is told"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell the advice. Raises CommandError where a file can't be read."""
        found: list[tuple[str, Advice]] = []
        count = 0
        for name in options["files"]:
            try:
                questions = read_questions(text_of(name, "YAML"))
            except BadQuestions as bad:
                faults = (f"{name}: {say_fault(fault)}" for fault in bad.faults)
                raise CommandError("\n".join(faults)) from bad
            count += len(questions)
            found += [(name, one) for question in questions for one in advise(question)]
        if options["format"] == "json":
            self.stdout.write(
                json.dumps(
                    [{"file": name} | asdict(say_advice(one)) for name, one in found],
                    indent=1,
                    ensure_ascii=False,
                )
            )
            return
        for name, one in found:
            told = say_advice(one)
            self.stdout.write(f"{name}: {told.question}: {told.message}\n    {told.guideline}")
        text = ngettext(
            "{count} question read. Suggestions: {found}.",
            "{count} questions read. Suggestions: {found}.",
            count,
        )
        self.stdout.write(text.format(count=count, found=len(found)))
