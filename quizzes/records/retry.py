"""May this person begin another sitting of a quiz today, and if not, what has to happen first?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext, ngettext

from procedures.access.acts import Person
from procedures.records.above import find_void_sittings
from procedures.records.days.reader import say_day
from procedures.records.statements import prepare_objects
from quizzes.access.doors import day_for
from quizzes.models import GoneThrough, Quiz, Sitting, Talk

# Three in a row: inspired by the limit of appendix II to Part-66, which then asks for a year.
IN_A_ROW = 3  # sittings not passed, after which a talk comes before the next one
DAY, WAIT, TALK = "day", "wait", "talk"


@dataclass(frozen=True, slots=True)
class Hindrance:
    """Why no sitting can begin today, in a sentence that says what to do; `sitting` is the last
    one, when it is about that.
    """

    kind: str
    message: str
    sitting: Sitting | None = None


def hindrance(quiz: Quiz, person: Person, on: date) -> Hindrance | None:
    """What stands before the next sitting on a day, or None; at most six queries."""
    last: list[Any] = _ask_last(quiz.pk, person.pk)
    # What was declared void never counted: it hinders nobody, and helps nobody over a wait.
    void = find_void_sittings(quiz.name, person.pk) if last else frozenset()
    if void:
        last = list(_last_of(quiz.pk, person.pk).exclude(pk__in=void)[:IN_A_ROW])
    if len(last) == IN_A_ROW and not any(one.is_passed() or one.talked for one in last):
        return Hindrance(
            TALK,
            gettext(
                "{number} sittings in a row were not passed. Talk with a senior mechanic about "
                "what is not clear yet. When the senior has recorded the talk, you can sit the "
                "quiz again."
            ).format(number=IN_A_ROW),
            last[0],
        )
    if last and not last[0].is_passed():
        waits = _waits(quiz, last[0], on)
        if waits is not None:
            return waits
    of_day = quiz.rules.sittings_a_day
    if of_day and _sat_on(quiz, person, on, void) >= of_day:
        text = ngettext(
            "You can sit this quiz only once a day. Go through the steps again, and sit it "
            "tomorrow.",
            "You can sit this quiz only {times} times a day. Go through the steps again, and sit "
            "it tomorrow.",
            of_day,
        )
        return Hindrance(DAY, text.format(times=of_day))
    return None


@prepare_objects
def _ask_last(quiz: int, person: int) -> QuerySet[Sitting]:
    return _last_of(quiz, person)[:IN_A_ROW]


def _last_of(quiz: int, person: int) -> QuerySet[Sitting]:
    talked = Exists(Talk.objects.filter(sitting=OuterRef("pk")))
    return _ended(quiz, person).order_by("-recorded_at", "-pk").annotate(talked=talked)


def _ended(quiz: int, person: int) -> QuerySet[Sitting]:
    return Sitting.objects.filter(quiz=quiz, person=person, recorded_at__isnull=False)


def _sat_on(quiz: Quiz, person: Person, on: date, void: frozenset[int]) -> int:
    """How many sittings were begun or ended on a day, where the person works; one query."""
    # A day to each side: the database counts days in one zone, the workshop may lie in another.
    around = Q(happened_on=on) | Q(
        started_at__date__range=(on - timedelta(days=1), on + timedelta(days=1))
    )
    rows = _ended(quiz.pk, person.pk).filter(around).exclude(pk__in=void)
    days = rows.values_list("happened_on", "started_at")
    return sum(on in (happened_on, day_for(person, started_at)) for happened_on, started_at in days)


def missed_steps(sitting: Sitting) -> tuple[tuple[str, str], ...]:
    """The steps of every question that was not wholly right, as (write-up, id), in the order asked;
    one query.
    """
    answers = sitting.answers.select_related("version__question__writeup").order_by("place")
    wrong = [answer.version for answer in answers if not answer.is_right()]
    return tuple(
        dict.fromkeys((one.question.writeup.name, step) for one in wrong for step in one.steps)
    )


def _waits(quiz: Quiz, last: Sitting, on: date) -> Hindrance | None:
    """The wait after a sitting not passed. It goes by days, not by hours: after one that ended late
    on the 24th, with a day to wait, the next one can begin on the 25th and no earlier.
    """
    ended_on = last.happened_on
    if ended_on is None or on >= ended_on + timedelta(days=quiz.rules.wait_days):
        return None
    free = ended_on + timedelta(days=quiz.rules.wait_days)
    if last.is_cut_short():
        text = gettext(
            "The last sitting was ended before half of its questions were answered, so the "
            "next one can begin on {day}. Use the time to study the write-ups."
        )
        return Hindrance(WAIT, text.format(day=say_day(free)))
    missed = set(missed_steps(last))
    signed = {
        (name, step) for row in GoneThrough.objects.filter(sitting=last) for name, step in row.steps
    }
    if missed <= signed:
        return None
    return Hindrance(
        WAIT,
        gettext(
            "The last sitting was not passed, so the next one can begin on {day}; or sooner, when "
            "a senior mechanic has gone through each missed step with you again and signed that."
        ).format(day=say_day(free)),
        last,
    )
