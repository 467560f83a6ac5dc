"""What does proofing advise for these write-ups?"""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from procedures.writeup.parse import parse
from procedures.writeup.proof.catalogue import HINT, RULES, Advice
from procedures.writeup.proof.proofread import proofread


class Command(BaseCommand):
    help = "Proofread write-ups by published rules on instructions and safety messages. Exit code 0: nothing but hints, 1: something to mend or answer, 2: a file cannot be read."
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("files", nargs="+", metavar="FILE")
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        found: list[tuple[str, Advice]] = []
        unread = []
        for name in options["files"]:
            try:
                text = Path(name).read_text(encoding="utf-8")
            except (OSError, UnicodeDecodeError) as error:
                unread.append(f"{name}: {error}")
                continue
            found += [(name, advice) for advice in proofread(parse(text), text)]
        if options["format"] == "json":
            self.stdout.write(json.dumps([_as_json(*one) for one in found], ensure_ascii=False, indent=1))
        else:
            for name, advice in found:
                rule = RULES[advice.rule]
                self.stdout.write(f"{name}:{advice.line}: {rule.level}: {rule.name}: “{advice.about}” {advice.message} [{advice.rule}, {rule.source}]")
        if unread:
            raise CommandError("Could not read " + "; ".join(unread), returncode=2)
        if any(advice.level != HINT for _, advice in found):
            raise SystemExit(1)


def _as_json(name: str, advice: Advice) -> dict[str, Any]:
    rule = RULES[advice.rule]
    return {
        "file": name, "rule": advice.rule, "level": rule.level, "name": rule.name, "source": rule.source,
        "step": advice.step, "line": advice.line, "about": advice.about, "message": advice.message,
    }  # fmt: skip
