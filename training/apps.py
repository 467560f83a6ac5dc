"""Which Django app answers who may do what?"""

from django.apps import AppConfig


class TrainingConfig(AppConfig):
    name = "training"
    verbose_name = "Training and sign-off"

    def ready(self) -> None:
        from training import checks  # noqa: F401  (registers the site's own checks)
