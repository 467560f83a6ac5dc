"""What does an open sitting close to its sitter, so that no page gives its answers away?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet

from procedures.records.statements import prepare_objects
from quizzes.models import Sitting


class InTheMiddle(PermissionDenied):
    """A page that could give the answers of a sitting away, while that `sitting` is open."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(str(sitting))
        self.sitting = sitting


def sitting_in_the_way(person: Any, writeups: Iterable[int] | None = None) -> Sitting | None:
    """The open sitting that closes all that tells questions on these write-ups (keys; None: on any)
    to somebody (key), or None.

    This is the one policy for every page: a sitting closes what its quiz asks about, and what it
    has drawn from. Seniors and owners are closed out like everybody else. Three queries at most.
    """
    mine = _ask_open_sittings(person)
    if writeups is None:
        return mine[0] if mine else None
    # One by one and not in the query: what a sitting has drawn can be of write-ups that its quiz
    # has lost since.
    wanted = set(writeups)
    return next((sitting for sitting in mine if wanted & list_asked_about(sitting)), None)


def closed_writeups(person: Any) -> dict[int, Sitting]:
    """The write-ups (keys) whose questions are closed to somebody (key), each with the open sitting
    that closes it.
    """
    return {
        writeup: sitting
        for sitting in reversed(_ask_open_sittings(person))
        for writeup in list_asked_about(sitting)
    }


@prepare_objects
def _ask_open_sittings(person: Any) -> QuerySet[Sitting]:
    mine = Sitting.objects.filter(person=person, recorded_at=None)
    return mine.select_related("quiz").order_by("pk")


def must_not_be_sitting(person: Any, writeups: Iterable[int] | None = None) -> None:
    """Raises InTheMiddle for somebody (key) whose open sitting asks about one of these write-ups
    (keys; None: about any).
    """
    sitting = sitting_in_the_way(person, writeups)
    if sitting is not None:
        raise InTheMiddle(sitting)


def list_asked_about(sitting: Sitting) -> set[int]:
    """The write-ups (keys) of the quiz, and those that the sitting has drawn from; two queries."""
    drawn = sitting.answers.values_list("version__question__writeup", flat=True)
    return {*sitting.quiz.writeups.values_list("pk", flat=True), *drawn}
