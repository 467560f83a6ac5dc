"""manage.py credential LOGIN LEVEL FILE: a sign-off as a file that its holder takes along."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.credential.issuing import is_fallen, issue
from training.management.prepared import ShopCommand
from training.models import SignOff, shop_now


class Command(ShopCommand):
    help = gettext(
        "Write somebody's newest sign-off at a level that counts into a file: an "
        "Open Badges 3.0 credential, signed by this site, without a name in it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("login", help=gettext("whose sign-off"))
        parser.add_argument("level", help=gettext("the service level, such as air-spring"))
        parser.add_argument("file", type=Path, metavar="FILE", help=gettext("a new file"))
        parser.add_argument(
            "--address",
            default="",
            metavar="URL",
            help=gettext("this site's address, where its list of cancelled sign-offs can be had"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        now = shop_now()
        rows = (
            SignOff.objects.filter(person__login=options["login"], level__name=options["level"])
            .select_related("person__workshop", "level", "signer")
            .order_by("-happened_on", "-pk")
        )
        row = next((row for row in rows if not is_fallen(row, now)), None)
        if row is None:
            raise CommandError(
                gettext("{login} has no sign-off at {level} that counts.").format(
                    login=options["login"], level=options["level"]
                )
            )
        try:
            made = issue(row, now=now, address=options["address"])
            with options["file"].open("x", encoding="utf-8") as file:
                json.dump(made, file, ensure_ascii=False, indent=1)
        except Refused as refused:
            raise CommandError(refused.message) from refused
        except FileExistsError:
            raise CommandError(
                gettext("{file} is there already. Choose another name.").format(
                    file=options["file"]
                )
            ) from None
        except OSError as error:
            raise CommandError(
                gettext("{file} cannot be written: {strerror}.").format(
                    file=options["file"], strerror=error.strerror
                )
            ) from error
        self.stdout.write(
            gettext("Written: {file}. Check it with: manage.py verify FILE").format(
                file=options["file"]
            )
        )
