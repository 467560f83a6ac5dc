"""How does a sitting begin, take answers and end?"""

from __future__ import annotations

import secrets
from collections.abc import Collection, Mapping, Sequence, Set
from dataclasses import asdict
from datetime import date, datetime
from decimal import Decimal
from random import Random
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Prefetch, QuerySet, prefetch_related_objects
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from procedures.access.acts import Person
from procedures.records.above import moment, record
from procedures.records.checked import check_row
from procedures.records.refused import Refused
from procedures.records.statements import prepare_objects
from procedures.records.texts import rules_text
from quizzes.access.doors import day_for
from quizzes.actions.second_tries import open_due, weigh_answers
from quizzes.kinds.kind import Marked
from quizzes.marking.draws import DrawRules, draw
from quizzes.marking.marks import is_too_little, percent
from quizzes.models import Answer, QuestionVersion, Quiz, Sitting
from quizzes.records.asking import candidate, count_met, list_askable, show_question
from quizzes.records.retry import hindrance
from quizzes.records.sources import Source, current_sources, is_outdated, pictures_of
from quizzes.records.wording.say import say

ENDED = _("This sitting has ended, so nothing in it can be changed.")
OUTDATED = _(
    "The questions of this sitting have changed since it began, so it no longer counts. Start the "
    "quiz again."
)
OUT_OF_TIME = _(
    "The time is over, and this was not saved. Take more time and save it again, or end the "
    "sitting."
)
STANDS = _(
    "You can no longer change your first answer, because it now has a second try. Answer the "
    "second try."
)
MEANWHILE = _(
    "You answered this question in another window too. Press “Next” to save this answer instead."
)
# The largest whole number of PostgreSQL's integer column.
LARGEST_SEED = 2**31 - 1


class NoUnit(Refused):
    """A number with no unit that can be read, given in answer to a question for an amount."""


class Meanwhile(Refused):
    """An answer from a page that shows another one than was given since."""


class OutOfTime(Refused):
    """An answer that came after the time that was set; more can be taken."""


def start_sitting(
    *,
    quiz: Quiz,
    person: Person,
    pass_percent: int,
    now: datetime,
    seed: int | None = None,
    today: date | None = None,
) -> Sitting:
    """The open sitting of this person and quiz, or a new one with its questions drawn.

    An open one that asks what no longer holds is dropped for a new one. `today` says which
    revisions are current (without it: the day of `now` where the person works). Raises Refused
    where there is nothing to ask, and where the quiz asks to wait, to talk with a senior first, or
    for no more sittings today.
    """
    on = today or day_for(person, now)
    try:
        with transaction.atomic():
            # before an outdated sitting goes: what it asked was seen
            met = count_met(quiz, person.pk)
            standing = (
                Sitting.objects.select_for_update()
                .filter(quiz=quiz, person_id=person.pk, recorded_at=None)
                .first()
            )
            if standing is not None and not is_outdated(standing, on):
                return standing
            if standing is not None:
                # Only an open sitting can be deleted; one that has ended is sealed by the database.
                standing.answers.all().delete()
                standing.delete()
            hindered = hindrance(quiz, person, on)
            if hindered is not None:
                raise Refused(hindered.message)
            return _new_sitting(quiz, person, pass_percent, now, on, seed, met)
    # A constraint allows one open sitting for a person and quiz.
    except IntegrityError:
        # Another tab was faster by a moment; its sitting is the one.
        return Sitting.objects.get(quiz=quiz, person_id=person.pk, recorded_at=None)


@transaction.atomic
def save_answer(
    *,
    sitting: Sitting,
    place: int,
    given: Any,
    now: datetime,
    is_handed_in: bool = True,
    seen: str | None = None,
) -> Answer:
    """The answer, saved; it replaces an earlier one. When it is handed in, a critical question
    answered wrong gets its second try, and its first answer stands from then on.

    Raises Refused for an ended sitting, a place that is not there, another answer where the first
    one stands, and something that can't be an answer to this question; Meanwhile where another one
    was given since (`seen` says when the one was given that the sitter saw, "" for none); NoUnit
    for a number with no unit that can be read; OutOfTime when the time that was set is over.
    """
    kept = _locked_open(sitting)
    answers = _ask_answers(kept.pk)
    answer = next((one for one in answers if one.place == place), None)
    if answer is None:
        raise Refused(gettext("This sitting has no such question."))
    if any(one.second_to == place for one in answers):
        # A browser that lost the reply sends the same again, which must not end in a refusal.
        if given != answer.given:
            raise Refused(str(STANDS))
        return answer  # the same answer, sent twice
    # Compared by the moment and not by the answer: two windows may hold the same old one.
    if seen is not None and seen != answer.kept_at() and given != answer.given:
        raise Meanwhile(str(MEANWHILE))
    ends = kept.ends_at()
    # After the question of who was first: more time can be taken, a lost answer cannot be.
    if ends is not None and now > ends:
        raise OutOfTime(str(OUT_OF_TIME))
    asked = answer.version.content()
    fault = asked.shape_fault(given)
    if fault:
        raise Refused(say(fault))
    if no_unit := asked.unit_fault(given):
        raise NoUnit(say(no_unit))
    answer.given, answer.given_at = given, now
    answer.save(update_fields=["given", "given_at"])
    if is_handed_in:
        open_due(kept, answers, [answer], now)
    return answer


@transaction.atomic
def end_sitting(
    *,
    sitting: Sitting,
    now: datetime | None = None,
    today: date | None = None,
    even_if_unanswered: bool = True,
) -> Sitting:
    """The sitting, marked and sealed. A question without an answer counts as wrong.

    Raises Refused for a sitting that has ended or asks what no longer holds, and, unless
    `even_if_unanswered`, for one with questions that are not answered yet.
    """
    now = moment(now)
    kept = _locked_open(sitting)
    today = today or day_for(kept.person, now)
    # At the end too, since a release in the middle would seal a pass of what no longer holds.
    if is_outdated(kept, today):
        raise Refused(str(OUTDATED))
    answers = list(kept.answers.select_related("version__question").order_by("place"))
    waiting = sum(answer.given is None for answer in answers)
    if waiting and not even_if_unanswered:
        raise Refused(_unanswered(len(answers), waiting))
    give_result(kept, answers, weigh_answers(answers))
    # Before the seal: answers of an ended sitting cannot be changed any more.
    Answer.objects.bulk_update(answers, ["marks"])
    kept.happened_on, kept.recorded_at = today, now
    return seal(kept)


def give_result(sitting: Sitting, answers: Sequence[Answer], marked: Sequence[Marked]) -> None:
    """Sets the marks of each answer and the result: the percent of the first answers, and whether
    each critical question was right at the first or the second try. With fewer than half answered
    nothing is marked, and it is not passed.
    """
    firsts = [answer for answer in answers if answer.second_to is None]
    if is_too_little(len(firsts), sum(answer.given is None for answer in firsts)):
        sitting.percent, sitting.critical_right = Decimal(0), False
        return
    worth: dict[int, Marked] = {}
    for answer, one in zip(answers, marked, strict=True):
        answer.marks = one.marks
        worth[answer.place] = one
    sitting.percent = percent([worth[answer.place] for answer in firsts])
    # First answers have no `second_to`, so this also holds None, which is no place.
    right = {answer.second_to for answer in answers if worth[answer.place].right}
    sitting.critical_right = all(
        worth[answer.place].right or answer.place in right
        for answer in firsts
        if answer.version.critical
    )


def seal(sitting: Sitting) -> Sitting:
    """The sitting with its result, kept and in the record book; nothing of it changes any more."""
    sitting.save(update_fields=["percent", "critical_right", "happened_on", "recorded_at"])
    ended = Sitting.objects.select_related("quiz", "person").get(pk=sitting.pk)
    told = Answer.objects.select_related("version__question__writeup", "version__author")
    prefetch_related_objects([ended], Prefetch("answers", told), "more_time")
    record("sitting", ended)
    return ended


def _new_sitting(
    quiz: Quiz,
    person: Person,
    pass_percent: int,
    now: datetime,
    today: date,
    seed: int | None,
    met: Collection[str],
) -> Sitting:
    sources = current_sources(quiz.writeups.values_list("pk", flat=True), today)
    rules = rules_text()
    bank = {version.pk: version for version in list_askable(sources, rules)}
    if not bank:
        raise Refused(
            gettext("This quiz has no question yet. Ask a senior mechanic to write some.")
        )
    drawing = quiz.rules.draw_rules()
    drawn_by = asdict(drawing) | {
        "parts": [asdict(part) for part in drawing.parts],
        "met": sorted(met),
    }
    sitting = Sitting(
        quiz=quiz,
        person_id=person.pk,
        # Not to be guessed: whoever knew the seed could work out what will be asked.
        seed=secrets.randbelow(LARGEST_SEED) if seed is None else seed,
        pass_percent=pass_percent,
        started_at=now,
        minutes=quiz.rules.minutes or None,
        drawn_by=drawn_by,
    )
    # The constraint on one open sitting is the database's: only it sees two tabs at once.
    check_row(sitting, validate_constraints=False)
    sitting.save()
    seen = {key for key, version in bank.items() if str(version.question) in met}
    _ask(sitting, bank, sources, rules, drawing, seen)
    return sitting


def _ask(
    sitting: Sitting,
    bank: Mapping[int, QuestionVersion],
    sources: Mapping[int, Source],
    rules: str,
    drawing: DrawRules,
    seen: Set[int],
) -> None:
    """Draws the questions of a new sitting from its seed, and lays out each as it will be shown."""
    chance = Random(sitting.seed)  # noqa: S311  # a draw that can be made again, no secret
    candidates = [
        candidate(version, sources[version.question.writeup_id]) for version in bank.values()
    ]
    drawn = [bank[key] for key in draw(candidates, drawing, chance, seen)]
    pictures = pictures_of(drawn)
    Answer.objects.bulk_create(
        Answer(
            sitting=sitting,
            place=place,
            version=version,
            shown=show_question(
                version, sources[version.question.writeup_id], rules, pictures, chance
            ),
        )
        for place, version in enumerate(drawn, start=1)
    )


def _unanswered(answers: int, waiting: int) -> str:
    """What ending now would mean, with so many of the questions not answered."""
    if is_too_little(answers, waiting):
        text = ngettext(
            "{waiting} of {answers} question is not answered yet. If you end the quiz before half "
            "of its questions are answered, it counts as not passed and shows no right answers.",
            "{waiting} of {answers} questions are not answered yet. If you end the quiz before "
            "half of them are answered, it counts as not passed and shows no right answers.",
            answers,
        )
    else:
        text = ngettext(
            "{waiting} of {answers} question is not answered yet. If you end the quiz now, it "
            "counts as wrong, and you do not see the right answer.",
            "{waiting} of {answers} questions are not answered yet. If you end the quiz now, they "
            "count as wrong, and you do not see their right answers.",
            answers,
        )
    return text.format(waiting=waiting, answers=answers)


def _locked_open(sitting: Sitting) -> Sitting:
    """The sitting as it stands now, held until the end of the transaction. Raises Refused where it
    has ended or is gone.
    """
    kept = next(iter(_ask_held(sitting.pk)), None)
    if kept is None:
        raise Refused(
            gettext("This sitting is over, because you started a new one. Go on with the new one.")
        )
    if not kept.is_open():
        raise Refused(str(ENDED))
    return kept


# Both are asked for each answer that is saved, which is what a trainee does most.
@prepare_objects
def _ask_held(sitting: int) -> QuerySet[Sitting]:
    return Sitting.objects.select_for_update().filter(pk=sitting)


@prepare_objects
def _ask_answers(sitting: int) -> QuerySet[Answer]:
    answers = Answer.objects.select_related("version__question__writeup")
    return answers.filter(sitting=sitting).order_by("place")
