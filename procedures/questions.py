"""Which critical steps and cautions of a revision does nothing ask about or look at?

Questions belong to the app above. Settings name the function that knows (as RELEASE_IMPACT does),
so that the page of a revision can list the gaps without an import upward.
"""

from collections.abc import Callable
from typing import cast

from django.conf import settings
from django.utils.module_loading import import_string

from procedures.models import Revision


def gaps_in(revision: Revision) -> tuple[str, ...]:
    """Each gap as a sentence; none where no setting names who knows."""
    if not settings.QUESTION_GAPS:
        return ()
    teller = cast("Callable[[Revision], tuple[str, ...]]", import_string(settings.QUESTION_GAPS))
    return teller(revision)
