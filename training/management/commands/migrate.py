"""manage.py migrate: bring the database to this version; an empty one gets its tables at once.

A shop that stands at an older version goes step by step, as ever. A new one has nothing that a step
could carry over, so its tables are made as the models say, and every step is marked as done:
`tests/training/test_history.py` holds that both ways lead to the same tables. It takes a
thirtieth of the time, which each run of the tests pays too.
"""

from __future__ import annotations

from typing import Any

from django.core.checks import Tags
from django.core.management.commands import migrate
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext

from training.management.prepared import OF_THE_SHOP


class Command(migrate.Command):
    # Of Django's own checks those that look at tables; the web pages are no part of them.
    requires_system_checks = (OF_THE_SHOP, Tags.models, Tags.database)
    # Whoever asks for a part, or only asks, gets the steps.
    STEPS = ("app_label", "migration_name", "fake", "fake_initial", "plan", "check_unapplied")

    def handle(self, *args: Any, **options: Any) -> None:
        connection = connections[options["database"]]
        asks_for_steps = any(options.get(name) for name in self.STEPS)
        if not asks_for_steps and not connection.introspection.table_names():
            self.verbosity = 0  # of the listing of tables alone; the rest sets its own
            _make_all(self, connection)
            if options["verbosity"]:
                self.stdout.write(gettext("The tables of a new shop are made."))
        super().handle(*args, **options)


def _make_all(command: migrate.Command, connection: BaseDatabaseWrapper) -> None:
    """Every table, and every step marked as done: all of it or nothing."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes(), clean_start=True)
    with connection.constraint_checks_disabled(), transaction.atomic(using=connection.alias):
        command.sync_apps(connection, executor.loader.migrated_apps)
        executor.recorder.ensure_schema()
        for step, _ in plan:
            executor.recorder.record_applied(step.app_label, step.name)
