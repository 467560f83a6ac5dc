"""manage.py demo: load the made-up shop, say who may do air-spring work today, and serve the
site.
"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext

from fixtures.years import write_shop
from procedures.management.progress import Progress
from procedures.records.days.reader import say_day
from training.actions.accounts import give_demo_password
from training.exchange.folder.bring import bring
from training.exchange.folder.read import read_delivery
from training.management.commands.may import lines
from training.management.days import today
from training.management.serving import must_be_free, serve
from training.models import User, Workshop, roles, shop_now
from training.reports.who_may import LevelAsked, say_if_closed, who_may

PASSWORD = "demo-bench-2026"  # noqa: S105  (printed for everybody; the demo is served on this machine only)
LEVEL = "air-spring"


class Command(BaseCommand):
    help = gettext(
        "Prepare the database, load the demo shop, print who may do air-spring work "
        "today, and serve on 127.0.0.1."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--no-serve", action="store_true", help=gettext("stop after the printing")
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError(
                gettext(
                    "The demo shop is for trying out, and BENCHRIGHT_PRODUCTION is set. Unset "
                    "it, and set BENCHRIGHT_HOME to a folder for the demo."
                )
            )
        if not options["no_serve"]:
            must_be_free(options["port"])
        call_command("migrate", verbosity=0)
        self._load()
        self._tell_who_may()
        self._tell_logins(options["port"])
        if not options["no_serve"]:
            call_command("collectstatic", interactive=False, verbosity=0)
            self.stdout.flush()
            serve(options["port"])

    def _load(self) -> None:
        if Workshop.objects.filter(is_demo=False).exists():
            raise CommandError(
                gettext(
                    "This database holds a real shop, so the demo shop stays out. Name another "
                    "place for it: set BENCHRIGHT_HOME (or DATABASE_URL) and run this again."
                )
            )
        if Workshop.objects.exists():
            self.stdout.write(gettext("The demo shop is here already; nothing was changed."))
            return
        with Progress(self.stderr) as tell, TemporaryDirectory() as made, transaction.atomic():
            write_shop(Path(made), timezone.localdate())
            brought = bring(read_delivery([Path(made)], tell), is_demo=True, tell=tell)
            give_demo_password(password=PASSWORD)
        self.stdout.write(gettext("The demo shop is loaded: {brought}.").format(brought=brought))

    def _tell_who_may(self) -> None:
        on = today()
        told = who_may([LevelAsked(LEVEL, on, shop_now(), {})])[0]
        asked = gettext("Who may do air-spring work on {day}?").format(day=say_day(on))
        self.stdout.write(f"\n{asked}\n")
        self.stdout.write("\n".join(lines(told, say_if_closed(on))))
        self.stdout.write("\n" + gettext("Demo values. Do not use on a real fork or shock."))

    def _tell_logins(self, port: int) -> None:
        self.stdout.write(
            gettext(
                "\nAddress:  http://127.0.0.1:{port}/\nPassword: {PASSWORD} (the same for "
                "everybody)\n"
            ).format(port=port, PASSWORD=PASSWORD)
        )
        for trade, _ in roles.TRADES:
            person = User.objects.filter(trade=trade, left__isnull=True).order_by("pk").first()
            if person:
                self.stdout.write(f"  {person.role:<16} {person.login}")
