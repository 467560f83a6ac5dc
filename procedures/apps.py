"""Which Django app answers what the shop says is right?"""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class ProceduresConfig(AppConfig):
    name = "procedures"
    verbose_name = "Write-ups"

    def ready(self) -> None:
        from procedures.records import sealing

        # This is the last of the three apps, so that all tables of a plan are there when the seals
        # are put on.
        pre_migrate.connect(sealing.before_migrations, sender=self, dispatch_uid="seals off")
        post_migrate.connect(sealing.after_migrations, sender=self, dispatch_uid="seals on")
