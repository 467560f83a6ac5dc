"""Is there somebody else who could do what its author should not do alone?"""

from __future__ import annotations

from datetime import date

from django.contrib.auth import get_user_model

from quizzes.access.acts import WRITE


def has_other_writers(author: int | None, on: date) -> bool:
    """Whether anybody but the author (key) writes questions on this day; one query. Without an
    author nobody is kept from anything by this, and nobody is asked for.
    """
    if author is None:
        return False
    return get_user_model().objects.able_to(WRITE.permission, on).exclude(pk=author).exists()
