"""manage.py reset_second_factor: let somebody in who lost phone and recovery codes, for when no
other owner can.
"""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.actions.second_factor import reset_factor
from training.management.prepared import OF_THE_SHOP
from training.models import User


class Command(BaseCommand):
    help = gettext(
        "Reset the second factor of somebody who lost phone and recovery codes. The record book "
        "says so."
    )
    requires_system_checks = (OF_THE_SHOP,)
    requires_migrations_checks = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("login")

    def handle(self, *args: Any, **options: Any) -> None:
        person = User.objects.select_related("workshop").filter(login=options["login"]).first()
        if person is None:
            raise CommandError(
                gettext("Nobody has the login '{login}'.").format(login=options["login"])
            )
        try:
            reset_factor(person=person, by=None)
        except Refused as refused:
            raise CommandError(refused.message) from refused
        self.stdout.write(
            gettext(
                "{name} signs in with the password alone now, and can set up a new second factor."
            ).format(name=person.name)
        )
