"""manage.py changepassword: set somebody's password from the terminal, for when no owner can sign
in.
"""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.actions.accounts import set_password_at_terminal
from training.management.passwords import ask_password
from training.management.prepared import OF_THE_SHOP
from training.models import User


class Command(BaseCommand):
    help = gettext(
        "Set somebody's password from the terminal. It counts as set by somebody "
        "else: the person must choose another at the next sign-in."
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
        password = ask_password(gettext("New password:"))
        try:
            set_password_at_terminal(person=person, password=password)
        except Refused as refused:
            raise CommandError(refused.message) from refused
        self.stdout.write(
            gettext(
                "{name} has a new password, and must choose another at the next sign-in."
            ).format(name=person.name)
        )
