"""Which critical question answered wrong gets its second try, and what is each answer worth?"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime
from random import Random

from django.db import transaction

from procedures.records.texts import rules_text
from quizzes.access.doors import day_for
from quizzes.kinds.kind import Marked
from quizzes.marking.draws import pick_second
from quizzes.marking.marks import marks
from quizzes.models import Answer, QuestionVersion, Sitting
from quizzes.records.asking import candidate, list_askable, show_question
from quizzes.records.sources import Source, current_sources, pictures_of, pinned_sources


@transaction.atomic
def open_second_tries(*, sitting: Sitting, now: datetime) -> tuple[Answer, ...]:
    """A second try for each critical question of an open sitting that was answered wrong and has
    none yet, where the bank has another one about the same step; those that were opened now.
    """
    kept = Sitting.objects.select_for_update().filter(pk=sitting.pk, recorded_at=None).first()
    if kept is None:
        return ()
    answers = list(kept.answers.select_related("version__question__writeup").order_by("place"))
    return open_due(kept, answers, answers, now)


def open_due(
    sitting: Sitting, answers: Collection[Answer], handed_in: Iterable[Answer], now: datetime
) -> tuple[Answer, ...]:
    """The second tries that are due for some of a sitting's answers. Whoever calls it holds the
    sitting, so that no two are opened for one question.
    """
    have = {answer.second_to for answer in answers}
    due = [
        answer
        for answer in handed_in
        if answer.version.critical
        and answer.given is not None
        and answer.second_to is None
        and answer.place not in have
    ]
    wrong = [
        answer for answer, worth in zip(due, weigh_answers(due), strict=True) if not worth.right
    ]
    if not wrong:
        return ()
    on = day_for(sitting.person, now)
    sources = current_sources({one.version.question.writeup_id for one in wrong}, on)
    rules = rules_text()
    bank = {version.pk: version for version in list_askable(sources, rules)}
    asked = {answer.version_id for answer in answers}
    place = max(answer.place for answer in answers)
    found = []
    for answer in wrong:
        version = _another(sitting, answer, bank, sources, asked)
        if version is None:
            continue
        asked.add(version.pk)
        place += 1
        # From the seed and the place, so that the order of handing in does not change the draw.
        chance = Random(f"{sitting.seed} shown at {place}")  # noqa: S311  # can be made again
        source = sources[version.question.writeup_id]
        found.append(
            Answer(
                sitting=sitting,
                place=place,
                second_to=answer.place,
                version=version,
                shown=show_question(version, source, rules, pictures_of([version]), chance),
            )
        )
    return tuple(Answer.objects.bulk_create(found))


def _another(
    sitting: Sitting,
    answer: Answer,
    bank: dict[int, QuestionVersion],
    sources: dict[int, Source],
    asked: set[int],
) -> QuestionVersion | None:
    """Another question about the step of this one that was not asked in the sitting."""
    if answer.version_id not in bank:
        return None  # it was rewritten or withdrawn since, so the sitting will not count
    # As it was when the sitting began: what this sitting itself showed is left out by `asked`.
    met = set((sitting.drawn_by or {}).get("met", ()))
    key = pick_second(
        [candidate(one, sources[one.question.writeup_id]) for one in bank.values()],
        answer.version_id,
        asked,
        Random(f"{sitting.seed} second to {answer.place}"),  # noqa: S311  # can be made again
        {key for key, one in bank.items() if str(one.question) in met},
    )
    return None if key is None else bank[key]


def weigh_answers(answers: Collection[Answer]) -> list[Marked]:
    """The worth of each answer, against the revision that it was asked beside and the rules in
    force.
    """
    # Only orders need a revision to be marked by; the others carry their key in the version.
    ordering = [answer for answer in answers if answer.version.content().is_rehearsed]
    sources = pinned_sources({answer.pin() for answer in ordering})
    rules = rules_text() if ordering else ""
    found = []
    for answer in answers:
        asked = answer.version.content()
        orders = sources[answer.pin()].judge(asked, rules) if asked.is_rehearsed else None
        found.append(marks(asked, answer.given, orders))
    return found
