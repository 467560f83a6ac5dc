"""How many questions wait for somebody who may write them?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import ngettext

from procedures.records.statements import prepare_objects, prepare_once
from quizzes.access.closing import closed_writeups
from quizzes.models import QuestionVersion, QuestionWithdrawn
from quizzes.records.confirming import find_changed_since
from quizzes.records.sources import current_sources


def tell_questions_waiting(person: Any, today: date) -> Iterator[str]:
    """In sentences: how many questions of others wait to be approved by this person (a key), and
    how many are not asked since a step of theirs changed. Nothing of what an open sitting of
    theirs is about; a fixed number of queries.
    """
    closed = closed_writeups(person)
    versions = [one for one in _ask_newest() if one.question.writeup_id not in closed]
    accepted = {pk for (pk,) in _ask_accepted()}
    new = sum(one.pk not in accepted and one.author_id != person for one in versions)
    if new:
        yield ngettext(
            "{number} question waits to be approved by you.",
            "{number} questions wait to be approved by you.",
            new,
        ).format(number=new)
    asked = [one for one in versions if one.pk in accepted]
    sources = current_sources({one.question.writeup_id for one in asked}, today)
    if changed := len(find_changed_since(asked, sources)):
        yield ngettext(
            "{number} question is not asked, because a step of it changed. Confirm it or write it "
            "anew.",
            "{number} questions are not asked, because a step of theirs changed. Confirm them or "
            "write them anew.",
            changed,
        ).format(number=changed)


@prepare_objects
def _ask_newest() -> QuerySet[QuestionVersion]:
    gone = QuestionWithdrawn.objects.filter(version=OuterRef("pk"))
    newest = QuestionVersion.objects.newest().filter(~Exists(gone)).select_related("question")
    # without their words, which are most of them
    return newest.only("author", "steps", "revision", "recorded_at", "question__writeup")


@prepare_once
def _ask_accepted() -> QuerySet[Any]:
    return QuestionVersion.objects.accepted().values_list("pk")
