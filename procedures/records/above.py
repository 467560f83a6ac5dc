"""What do the apps above know of this shop, and where does its record book take a row in?

People, levels, questions and the record book belong to the apps above. For each thing that is
asked of them a setting names the function that answers, so that nothing here is imported upward.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any, Protocol, cast

from django.conf import settings
from django.db.models import Model
from django.utils.module_loading import import_string

from procedures.models import Revision


class Impact(Protocol):
    """A few sentences, and the address of the page that says it in full."""

    @property
    def sentences(self) -> tuple[str, ...]: ...

    @property
    def url(self) -> str: ...


def record(kind: str, row: Model) -> None:
    """Write the row into the record book as an entry of this kind; call it inside the transaction
    of the write.
    """
    _answer_of("RECORD_BOOK")(kind, row)


def moment(given: datetime | None = None) -> datetime:
    """The instant for everything that this transaction writes. From here to its end nobody else
    writes an entry, so call it before any row is locked, and after what takes long. `given` is for
    tests and for records that are brought in.

    Raises Refused where the machine's clock shows a time before the newest entry.
    """
    return cast("datetime", _answer_of("RECORD_MOMENT")(given))


def shop_now() -> datetime:
    """The instant it is for whoever asks; never one before the newest entry. For looking, not for
    writing.
    """
    return cast("datetime", _answer_of("RECORD_NOW")())


def impact_of(revision: Revision, *, now: datetime) -> Impact | None:
    """What the release today of this open revision would mean; None where no setting names who
    knows.
    """
    # The app runs and is tested without those above it.
    if not settings.RELEASE_IMPACT:
        return None
    return cast("Impact", _answer_of("RELEASE_IMPACT")(revision, now))


def level_titles() -> Mapping[str, str]:
    """The title of each level by its name, as its newest rules say; empty where no setting names
    who knows. One query.
    """
    if not settings.LEVEL_TITLES:
        return {}
    return cast("Mapping[str, str]", _answer_of("LEVEL_TITLES")())


def level_faults(revision: Revision, on: date) -> tuple[str, ...]:
    """Where this revision and the levels do not know of each other, in sentences; none where no
    setting names who knows.
    """
    if not settings.LEVEL_FAULTS:
        return ()
    return cast("tuple[str, ...]", _answer_of("LEVEL_FAULTS")(revision, on))


def gaps_in(revision: Revision) -> tuple[str, ...]:
    """The critical steps and cautions that nothing asks about or looks at, each as a sentence;
    none where no setting names who knows.
    """
    if not settings.QUESTION_GAPS:
        return ()
    return cast("tuple[str, ...]", _answer_of("QUESTION_GAPS")(revision))


def pass_mark_of(quiz: str, on: date) -> int | None:
    """The pass mark, in percent, that is asked of a quiz on a day; None where nobody asks for the
    quiz, or no setting names who knows.
    """
    if not settings.QUIZ_MARK:
        return None
    return cast("int | None", _answer_of("QUIZ_MARK")(quiz, on))


def find_void_sittings(quiz: str, person: int) -> frozenset[int]:
    """The keys of the sittings of a quiz by a person that were declared never to have counted; none
    where no setting names who knows. One query.
    """
    if not settings.VOID_SITTINGS:
        return frozenset()
    return cast("frozenset[int]", _answer_of("VOID_SITTINGS")(quiz, person))


def _answer_of(setting: str) -> Callable[..., Any]:
    return cast("Callable[..., Any]", import_string(getattr(settings, setting)))
