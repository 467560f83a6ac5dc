"""How does a sitting that was taken elsewhere come in, with its answers?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from random import Random
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from procedures.access.acts import Person
from procedures.records.refused import Refused
from procedures.records.texts import rules_text
from quizzes.actions.sittings import give_result, seal
from quizzes.kinds.kind import Marked
from quizzes.marking.marks import marks
from quizzes.models import Answer, QuestionVersion, Quiz, Sitting
from quizzes.records.asking import show_question
from quizzes.records.sources import Source, current_sources, pictures_of
from quizzes.records.wording.say import say

VersionGiven = tuple[QuestionVersion, Any]
"""A question in the version that was answered, and the answer as `shape_fault` wants it; None where
there was none.
"""


@transaction.atomic
def bring_sitting(
    *,
    quiz: Quiz,
    person: Person,
    pass_percent: int,
    on: date,
    started_at: datetime,
    recorded_at: datetime,
    answers: Sequence[VersionGiven],
) -> Sitting:
    """The sitting, marked beside the revisions in force on its day, and sealed. In which order
    options stood is not known any more, so one is drawn. Raises Refused, with a sentence for each
    question that cannot have been asked or answered so.
    """
    versions = [version for version, _ in answers]
    sources = current_sources({version.question.writeup_id for version in versions}, on)
    rules, pictures = rules_text(), pictures_of(versions)
    faults = [fault for answer in answers for fault in _faults(*answer, sources, rules)]
    if faults:
        raise Refused(gettext("This sitting is not possible."), faults)
    # No seed drew these questions.
    sitting = Sitting.objects.create(
        quiz=quiz, person_id=person.pk, seed=0, pass_percent=pass_percent, started_at=started_at
    )
    marked: list[Marked] = []
    kept: list[Answer] = []
    chance = Random(f"{person.pk} {recorded_at}")  # noqa: S311  # an order for the eye, no secret
    for place, (version, given) in enumerate(answers, start=1):
        source, asked = sources[version.question.writeup_id], version.content()
        worth = marks(asked, given, source.judge(asked, rules))
        marked.append(worth)
        kept.append(
            Answer(
                sitting=sitting,
                place=place,
                version=version,
                shown=show_question(version, source, rules, pictures, chance),
                given=given,
                # The moment of each answer does not come along; the end claims least.
                given_at=None if given is None else recorded_at,
            )
        )
    give_result(sitting, kept, marked)
    Answer.objects.bulk_create(kept)
    sitting.happened_on, sitting.recorded_at = on, recorded_at
    return seal(sitting)


def _faults(
    version: QuestionVersion, given: Any, sources: dict[int, Source], rules: str
) -> Iterator[str]:
    name = f"{version.question.writeup.name} {version.question.name}"
    source = sources.get(version.question.writeup_id)
    if source is None:
        yield gettext("{question}: its write-up had no released revision on that day.").format(
            question=name
        )
        return
    asked = version.content()
    fits = source.faults(asked, version.steps, rules) if asked.is_rehearsed else ()
    steps = set(version.steps) - source.titles().keys()
    if fits or steps:
        yield gettext(
            "{question}: it does not fit revision {number}, the current one on that day."
        ).format(question=name, number=source.number)
    fault = None if given is None else asked.shape_fault(given)
    if fault:
        yield gettext("{question}: {what}").format(question=name, what=say(fault))
