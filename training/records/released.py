"""What do the released revisions say: which level, which variants, since when?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from django.db.models import QuerySet

from procedures.models import Revision
from procedures.records.statements import prepare_once
from procedures.writeup.parse import level_of, parse
from training.standing import evidence
from training.standing.evidence import Limits
from training.standing.question import join_options


def options_by_writeup(rules: Iterable[evidence.LevelRules]) -> dict[str, Limits]:
    """For each write-up of these rules, the variants and options that its newest released revision
    has.
    """
    wanted = {name for version in rules for name in version.writeups}
    oldest_first = Revision.objects.released().filter(writeup__name__in=wanted).order_by("number")
    texts: dict[str, str] = dict(oldest_first.values_list("writeup__name", "text"))
    return {name: variants_of(text) for name, text in texts.items()}


def options_of(rules: Sequence[evidence.LevelRules]) -> dict[str, Limits]:
    """For each level, the variants and options of the write-ups that any of these versions of its
    rules names: of all that can be asked about, whatever the day.
    """
    found, writeups = options_by_writeup(rules), dict[str, list[str]]()
    for version in rules:
        writeups.setdefault(version.level, []).extend(version.writeups)
    return {
        level: join_options(found.get(name, ()) for name in dict.fromkeys(names))
        for level, names in writeups.items()
    }


# More texts than one shop has levels, and each may be long.
@lru_cache(maxsize=64)
def variants_of(text: str) -> Limits:
    """The variants of a write-up's text with their options, down the header."""
    return tuple((variant.name, tuple(variant.options)) for variant in parse(text).variants)


class Sheets:
    """The released revisions: as facts, and by key the write-up of each with the level that its
    header names.
    """

    def __init__(self) -> None:
        rows = _ask_released()
        levels = _levels_named({row[1] for row in rows})
        self.by_key = {str(pk): (name, levels.get(digest, "")) for pk, digest, name, *_ in rows}
        self.facts = tuple(
            # What was brought in was recorded when it came in; its moment of release is known only
            # where the folder said it.
            evidence.RevisionFact(name, number, released, asks, at or (recorded if by else None))
            for _pk, _digest, name, number, released, asks, at, recorded, by in rows
            if released is not None
        )

    def of(self, key: str) -> tuple[str, str]:
        """The write-up and the level that an observation is of; one of a revision that is not
        released is of no level.
        """
        # Not ("", ""), which counts for both: what nobody has released must count for nothing.
        return self.by_key.get(key, (f"revision {key}", "")) if key else ("", "")


@prepare_once
def _ask_released() -> QuerySet[Any]:
    # Without the texts, which are long and needed only for what is not known yet.
    columns = ("pk", "digest", "writeup__name", "number", "released_on", "asks")
    known_from = ("released_at", "recorded_at", "released_by")
    return Revision.objects.released().values_list(*columns, *known_from)


_LEVELS_NAMED: dict[str, str] = {}
"""The level named by each released text, by the digest of the text; such a text is never another
one.
"""


def _levels_named(digests: Collection[str]) -> Mapping[str, str]:
    # By digest: the same text is read once in the life of the process, in whatever revision.
    if unread := [one for one in digests if one not in _LEVELS_NAMED]:
        texts = Revision.objects.released().filter(digest__in=unread)
        for digest, text in texts.values_list("digest", "text"):
            _LEVELS_NAMED[digest] = level_of(text)
    return _LEVELS_NAMED
