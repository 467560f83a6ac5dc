"""manage.py open_shop: make a new shop's workshop and its first owner."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.actions.people import add_person, open_workshop
from training.management.passwords import ask_password
from training.management.prepared import ShopCommand
from training.models import User


class Command(ShopCommand):
    help = gettext(
        "Make the workshop and the first owner of a new shop; asks for the owner's password."
    )
    makes_records = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--workshop", required=True, metavar="NAME")
        parser.add_argument(
            "--time-zone",
            default=settings.TIME_ZONE,
            metavar="ZONE",
            help=gettext("such as Europe/Vienna"),
        )
        parser.add_argument("--login", required=True)
        parser.add_argument(
            "--name", required=True, help=gettext("the owner's name as it is printed")
        )
        parser.add_argument(
            "--password", default="", help=gettext("for scripts; without it the command asks twice")
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if User.objects.exists():
            raise CommandError(
                gettext("This site holds a shop already. Its owner adds people on the page People.")
            )
        password = options["password"] or ask_password(gettext("Password for the owner:"))
        try:
            with transaction.atomic():
                workshop = open_workshop(name=options["workshop"], time_zone=options["time_zone"])
                add_person(
                    login=options["login"],
                    name=options["name"],
                    trade="owner",
                    workshop=workshop,
                    started=workshop.day_of(timezone.now()),
                    password=password,
                )
        except Refused as refused:
            raise CommandError(refused.message) from refused
        self.stdout.write(
            gettext("{workshop} is open. Sign in as {login}.").format(
                workshop=options["workshop"], login=options["login"]
            )
        )
