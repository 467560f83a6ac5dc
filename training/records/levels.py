"""What is a level called on a day, and how does one person stand at it?"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from training.models import Level, User
from training.records.gathering import gather
from training.standing.answer import answer
from training.standing.evidence import Shop
from training.standing.levels import version_on


def title_of(shop: Shop, level: str, on: date) -> str:
    """The level's title by the rules of a day; its name where it has none."""
    versions = shop.files.versions.get(level)
    # By the day: an old sign-off says what the level was called when it was given.
    return version_on(versions, on).title if versions else level


def standing_of(
    person: User, level: Level, on: date, now: datetime, variant: Mapping[str, str]
) -> str:
    """alone, watched or no, for this fork."""
    return answer(gather(), person.login, level.name, on, now, variant).standing
