"""manage.py verify FILE: what does a sign-off that somebody brought along prove?"""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from training.exchange.credential.checking import check, say_verdict
from training.exchange.credential.proof import BadProof, key_of, multikey
from training.exchange.credential.verdict import LONGEST
from training.management.prepared import ShopCommand
from training.models import shop_now


class Command(ShopCommand):
    help = gettext(
        "Say what a sign-off in a file proves today: who signed it, and until when it is valid."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument(
            "--key", default="", help=gettext("the key of the shop that signed it: z6Mk…")
        )
        parser.add_argument(
            "--name", default="", help=gettext("the person whose sign-off it should be")
        )
        parser.add_argument(
            "--list",
            action="append",
            default=[],
            type=Path,
            metavar="FILE",
            help=gettext("a list of cancelled or suspended sign-offs from the shop that signed it"),
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        found = check(
            _read(options["file"]),
            now=shop_now(),
            name=options["name"],
            lists=[_read(path) for path in options["list"]],
            more_keys=_key(options["key"]),
        )
        told = {
            "holds": found.holds,
            "code": found.code,
            "text": say_verdict(found),
            "title": found.title,
            "key": found.key,
            "valid_from": found.valid_from.isoformat() if found.valid_from else None,
            "valid_until": found.valid_until.isoformat() if found.valid_until else None,
            "is_current": found.is_current,
        }
        if options["format"] == "json":
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
        else:
            self.stdout.write(str(told["text"]))
            if found.holds and not found.is_current:
                self.stdout.write(
                    gettext(
                        "This site cannot see whether the shop has cancelled it since. Ask the "
                        "shop for its lists."
                    )
                )
        if not found.holds:
            raise CommandError(gettext("This sign-off does not count."))


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(LONGEST + 1)
    except OSError as error:
        raise CommandError(
            gettext("{path} cannot be read: {strerror}.").format(path=path, strerror=error.strerror)
        ) from error


def _key(text: str) -> dict[str, str]:
    """A key that is believed for this once, as Multikey or as 64 hex digits."""
    if not text:
        return {}
    try:
        if len(text) == 64:
            return {multikey(bytes.fromhex(text)): ""}
        key_of(text)
    except (ValueError, BadProof):
        raise CommandError(
            gettext("“{text}” is not a key. A key begins with z6Mk, or has 64 digits.").format(
                text=text
            )
        ) from None
    return {text: ""}
