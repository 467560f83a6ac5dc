"""Which Django app answers who may do what?"""

import gc

from django.apps import AppConfig
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate

# A shop's evidence is hundreds of thousands of small objects without circles: to look for circles
# after every 700 new ones (Python's own setting) doubles the time of a whole shop's answers and
# finds nothing.
_NEW_OBJECTS, _YOUNG, _OLD = 50_000, 20, 100


class TrainingConfig(AppConfig):
    name = "training"
    verbose_name = "Training and sign-off"

    def ready(self) -> None:
        from training.records import keeping, opened_file
        from training.site import checks  # noqa: F401  (registers the site's own checks)

        post_migrate.connect(
            keeping.after_migrations, sender=self, dispatch_uid="kinds new to the book"
        )
        connection_created.connect(opened_file.watch, dispatch_uid="which file was opened")
        gc.set_threshold(_NEW_OBJECTS, _YOUNG, _OLD)
