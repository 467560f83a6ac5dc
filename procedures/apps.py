"""Which Django app answers what the shop says is right?"""

from django.apps import AppConfig


class ProceduresConfig(AppConfig):
    name = "procedures"
    verbose_name = "Write-ups"
