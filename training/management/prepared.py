"""Is the database ready for a command of the shop?"""

import pkgutil
from importlib.util import find_spec
from typing import Literal

from django.apps import apps
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone
from django.utils.translation import gettext

from procedures.records.days.reader import write_days_for
from procedures.records.days.writing import ISO, PLAIN
from training.records.gathering import time_zone_of_shop

# The tag of what a command on the records has checked before it begins. To check the web pages too,
# every one of them would be imported, which takes longer than most of these commands themselves.
OF_THE_SHOP = "shop"


class ShopCommand(BaseCommand):
    """A command on the shop's records: it says so where the database is not prepared, instead of
    failing half-way.

    `makes_records`: the command may be the first one on a new machine, so an empty database is
    prepared for it.
    """

    makes_records = False
    requires_system_checks: tuple[str, ...] | Literal["__all__"] = (OF_THE_SHOP,)

    def execute(self, *args: object, **options: object) -> str | None:
        try:
            self._prepare()
        except DatabaseError as error:
            raise CommandError(
                gettext("The database cannot be used: {error}").format(error=error)
            ) from error
        # A program gets days as ISO 8601, within sentences too; people the one plain form.
        form = ISO if options.get("format") == "json" or options.get("ask") else PLAIN
        with write_days_for(form), timezone.override(time_zone_of_shop()):
            return super().execute(*args, **options)

    def _prepare(self) -> None:
        if _is_each_step_done():
            return
        executor = MigrationExecutor(connection)
        if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
            return
        if self.makes_records and not connection.introspection.table_names():
            call_command("migrate", verbosity=0)
            return
        raise CommandError(
            gettext("The database is not prepared for this version. Run: python manage.py migrate")
        )


def _is_each_step_done() -> bool:
    """Whether the database has each migration that lies on the disk. They are told by their names:
    to read them all, as Django does, takes longer than most of these commands themselves.
    """
    there: set[tuple[str, str]] = set()
    for app in apps.get_app_configs():
        name, _ = MigrationLoader.migrations_module(app.label)
        package = find_spec(name) if name else None
        if package:
            steps = pkgutil.iter_modules(package.submodule_search_locations)
            # As Django's own loader tells a migration from what lies beside it.
            there |= {
                (app.label, step.name)
                for step in steps
                if not step.ispkg and step.name[0] not in "_~"
            }
    return there <= MigrationRecorder(connection).applied_migrations().keys()
