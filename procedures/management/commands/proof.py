"""What does the proofing find in the write-ups in these files, and does it ask for an answer?"""

import json
import sys
from argparse import ArgumentParser
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext, ngettext

from procedures.records.wording.proof_rules import RULES
from procedures.records.wording.say import say
from procedures.writeup.parse import parse
from procedures.writeup.proof.findings import ProofFinding
from procedures.writeup.proof.proofing import proof
from procedures.writeup.sections import LONGEST

CLEAN, ASKS, UNREADABLE = 0, 1, 2


class Command(BaseCommand):
    help = gettext(
        "Proof write-ups by published rules on instructions and safety messages. "
        "Exit 0: nothing asks for an answer, 1: something does, 2: a file cannot be "
        "read."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("files", nargs="+", metavar="FILE", help=gettext("a write-up"))
        parser.add_argument(
            "--format",
            choices=["text", "json"],
            default="text",
            help=gettext("how the findings are told"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Tell every finding. Leaves with 1 or 2 when there is something to put right or to answer,
        or to read.
        """
        found: dict[str, tuple[ProofFinding, ...]] = {}
        for file in sorted(set(options["files"])):
            try:
                text = Path(file).read_bytes().decode("utf-8-sig")
            except (OSError, ValueError) as error:
                reason = (
                    (error.strerror or gettext("no such file"))
                    if isinstance(error, OSError)
                    else gettext("it is not a UTF-8 text")
                )
                self.stderr.write(
                    gettext("{file}: cannot be read: {reason}.").format(file=file, reason=reason)
                )
                continue
            if len(text) > LONGEST:
                self.stderr.write(
                    gettext(
                        "{file}: is not proofed: it is longer than {most} characters. Part it "
                        "into several write-ups."
                    ).format(file=file, most=LONGEST)
                )
            else:
                found[file] = proof(parse(text), text)
        if options["format"] == "json":
            self.stdout.write(_as_json(found))
        elif found:
            self.stdout.write(_as_text(found))
        asks = any(each.asks for findings in found.values() for each in findings)
        code = UNREADABLE if len(found) < len(set(options["files"])) else ASKS if asks else CLEAN
        if code != CLEAN:
            sys.exit(code)


def _as_json(found: Mapping[str, Sequence[ProofFinding]]) -> str:
    rows = [
        {
            "file": file,
            "rule": each.rule,
            "level": each.level,
            "step": each.step,
            "line": each.line,
            "about": each.about,
            "message": say(each.remark),
            "name": str(RULES[each.rule]),
            "source": each.source,
        }
        for file, findings in found.items()
        for each in findings
    ]
    return json.dumps(rows, indent=1)


def _as_text(found: Mapping[str, Sequence[ProofFinding]]) -> str:
    rows = [_row(file, each) for file, findings in found.items() for each in findings]
    every = [each for findings in found.values() for each in findings]
    asks = sum(each.asks for each in every)
    told = ngettext(
        "{count} write-up proofed. To put right or to answer: {asks}. Hints: {hints}.",
        "{count} write-ups proofed. To put right or to answer: {asks}. Hints: {hints}.",
        len(found),
    )
    return "\n".join([*rows, told.format(count=len(found), asks=asks, hints=len(every) - asks)])


def _row(file: str, each: ProofFinding) -> str:
    step = f" [{each.step}]" if each.step else ""
    told = f"{say(each.remark)} ({RULES[each.rule]}; {each.source})"
    return f"{file}:{each.line}: {each.level} {each.rule}{step}: {told}"
