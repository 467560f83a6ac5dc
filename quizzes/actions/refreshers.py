"""How does a refresher round begin and take its answers?"""

from __future__ import annotations

import secrets
from datetime import date, datetime
from random import Random
from typing import Any

from django.db import transaction
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.access.acts import Person
from procedures.records.refused import Refused, refuse_if
from procedures.records.texts import rules_text
from quizzes.access import acts
from quizzes.actions.sittings import NoUnit
from quizzes.marking.marks import marks
from quizzes.models import RefresherAnswer, RefresherRound
from quizzes.records.asking import show_question
from quizzes.records.recalling import list_asked_on, list_remembered
from quizzes.records.sources import pictures_of, pinned_sources
from quizzes.records.wording.say import say

SIZE = 5
# The largest whole number of PostgreSQL's integer column.
LARGEST_SEED = 2**31 - 1
NOTHING_SEEN = _("You have no practice questions yet. They come after your first quiz.")


@transaction.atomic
def start_round(
    *, person: Person, now: datetime, today: date, seed: int | None = None
) -> RefresherRound:
    """The round of today that is still open, or a new one of the questions that this person is
    about to forget.

    Raises Refused in the middle of a quiz, and where nothing was answered before.
    """
    refuse_if(acts.PRACTISE.why_not(person))
    # Today's alone: what was about to be forgotten another day is worked out anew.
    begun = RefresherRound.objects.filter(
        person_id=person.pk, on=today, answers__given__isnull=True
    ).first()
    if begun is not None:
        return begun
    asking = list_asked_on(today)
    chosen = [one.version for one in list_remembered(person.pk, today, asking)][:SIZE]
    if not chosen:
        raise Refused(str(NOTHING_SEEN))
    kept = RefresherRound.objects.create(
        person_id=person.pk,
        seed=secrets.randbelow(LARGEST_SEED) if seed is None else seed,
        started_at=now,
        on=today,
    )
    chance = Random(kept.seed)  # noqa: S311  # an order that can be made again, no secret
    pictures = pictures_of(chosen)
    RefresherAnswer.objects.bulk_create(
        RefresherAnswer(
            round=kept,
            place=place,
            version=version,
            shown=show_question(
                version, asking.sources[version.question.writeup_id], asking.rules, pictures, chance
            ),
        )
        for place, version in enumerate(chosen, start=1)
    )
    return kept


@transaction.atomic
def answer_refresher(
    *, kept: RefresherRound, place: int, given: Any, now: datetime, today: date
) -> RefresherAnswer:
    """The answer, marked at once. Raises Refused in the middle of a quiz, for a place that is not
    there or was answered before, and for something that can't be an answer to this question;
    NoUnit for a number with no unit that can be read."""
    refuse_if(acts.PRACTISE.why_not_now(kept.person_id))
    rows = RefresherAnswer.objects.select_for_update(of=("self",)).select_related(
        "version__question"
    )
    answer = rows.filter(round=kept, place=place).first()
    if answer is None:
        raise Refused(gettext("This round has no such question."))
    # The right answer was shown at once, so a second one would tell nothing.
    if answer.given is not None:
        raise Refused(gettext("You answered this question already. The answer cannot be changed."))
    asked = answer.version.content()
    if fault := asked.shape_fault(given):
        raise Refused(say(fault))
    if no_unit := asked.unit_fault(given):
        raise NoUnit(say(no_unit))
    orders = (
        pinned_sources({answer.pin()})[answer.pin()].judge(asked, rules_text())
        if asked.is_rehearsed
        else None
    )
    answer.given, answer.given_at, answer.on = given, now, today
    answer.marks = marks(asked, given, orders).marks
    answer.save(update_fields=["given", "given_at", "on", "marks"])
    return answer
