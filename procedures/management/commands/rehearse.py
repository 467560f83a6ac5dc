"""Do the write-ups in these files rehearse without an error, and where not?"""

import json
import sys
from argparse import ArgumentParser
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext, ngettext

from procedures.records.wording.say import say, say_fault_of_rules
from procedures.rehearsal.findings import ADVICE, Finding, blocks
from procedures.rehearsal.walk import rehearse
from procedures.writeup.model import WriteUp
from procedures.writeup.parse import parse
from procedures.writeup.rules import BadRules, ShopRules, read_rules

CLEAN, ERRORS, UNREADABLE = 0, 1, 2


class Command(BaseCommand):
    help = gettext(
        "Rehearse write-ups for every variant. Exit 0: clean or advice only, 1: "
        "errors, 2: a file or the rules cannot be read."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "files",
            nargs="+",
            metavar="FILE",
            help=gettext("a write-up; all of them are at hand for `follows`"),
        )
        parser.add_argument(
            "--rules",
            metavar="RULES.yaml",
            help=gettext("the shop's rules; without them no danger is known"),
        )
        parser.add_argument(
            "--format",
            choices=["text", "json"],
            default="text",
            help=gettext("how the findings are told"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell every finding. Leaves with 1 or 2 when there is something wrong."""
        self._unreadable = False
        rules = self._rules(options["rules"])
        writeups = self._writeups(options["files"])
        others: dict[str, WriteUp] = {}
        for file, writeup in writeups.items():
            others.setdefault(Path(file).stem, writeup)
        found = {
            file: rehearse(writeup, rules, others=others)
            for file, writeup in sorted(writeups.items())
        }
        self.stdout.write(_as_json(found) if options["format"] == "json" else _as_text(found))
        code = (
            UNREADABLE
            if self._unreadable
            else ERRORS
            if any(map(blocks, found.values()))
            else CLEAN
        )
        if code != CLEAN:
            sys.exit(code)

    def _rules(self, file: str | None) -> ShopRules:
        text = None if file is None else self._read(file)
        try:
            return ShopRules() if text is None else read_rules(text)
        except BadRules as bad:
            self._tell(
                gettext(
                    "{file}: the rules cannot be read, {fault} The write-ups are "
                    "rehearsed without them."
                ).format(file=file, fault=say_fault_of_rules(bad))
            )
            return ShopRules()

    def _writeups(self, files: Sequence[str]) -> dict[str, WriteUp]:
        texts = {file: self._read(file) for file in files}
        return {file: parse(text) for file, text in texts.items() if text is not None}

    def _read(self, file: str) -> str | None:
        try:
            # As bytes, because reading as text would change the line ends.
            return Path(file).read_bytes().decode("utf-8-sig")
        except OSError as error:
            self._tell(
                gettext("{file}: cannot be read: {reason}.").format(
                    file=file, reason=error.strerror or gettext("no such file")
                )
            )
        except ValueError:
            self._tell(gettext("{file}: cannot be read: it is not a UTF-8 text.").format(file=file))
        return None

    def _tell(self, message: str) -> None:
        self._unreadable = True
        self.stderr.write(message)


def _as_json(found: Mapping[str, Sequence[Finding]]) -> str:
    rows = [
        {
            "file": file,
            "code": each.code,
            "level": each.level,
            "step": each.step,
            "about": each.about,
            "line": each.line,
            "message": say(each.remark),
            "variant": dict(each.variant),
        }
        for file, findings in found.items()
        for each in findings
    ]
    return json.dumps(rows, indent=1)


def _as_text(found: Mapping[str, Sequence[Finding]]) -> str:
    rows = [_row(file, each) for file, findings in found.items() for each in findings]
    every = [each for findings in found.values() for each in findings]
    advice = sum(each.level == ADVICE for each in every)
    told = ngettext(
        "{count} write-up rehearsed. Errors: {errors}. Advice: {advice}.",
        "{count} write-ups rehearsed. Errors: {errors}. Advice: {advice}.",
        len(found),
    ).format(count=len(found), errors=len(every) - advice, advice=advice)
    return "\n".join([*rows, told])


def _row(file: str, each: Finding) -> str:
    step = f" [{each.step}]" if each.step else ""
    variant = "; ".join(f"{name} = {option}" for name, option in each.variant.items())
    return (
        f"{file}:{each.line}: {each.level} {each.code}{step}{f' ({variant})' if variant else ''}: "
        f"{say(each.remark)}"
    )
