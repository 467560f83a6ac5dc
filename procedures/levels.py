"""What does the shop call each service level?

Levels belong to the top app. Settings name the function that knows (as RECORD_BOOK names the one
that keeps the record book), so that a write-up's page can give a level's title without an import
upward.
"""

from collections.abc import Callable, Mapping
from typing import cast

from django.conf import settings
from django.utils.module_loading import import_string


def level_titles() -> Mapping[str, str]:
    """The title of each level by its name, as its newest rules say; empty where no setting names
    who knows. One query.
    """
    if not settings.LEVEL_TITLES:
        return {}
    teller = cast("Callable[[], Mapping[str, str]]", import_string(settings.LEVEL_TITLES))
    return teller()
