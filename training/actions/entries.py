"""How is a reading, a job or an observation written down?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import TypeVar

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext, ngettext

from procedures.models import Revision
from procedures.records.checked import check_row
from procedures.records.days.reader import say_day
from procedures.records.refused import Refused
from procedures.records.wording.say import say
from procedures.writeup.check_sheet import LineSeen, is_right
from procedures.writeup.letters import hidden_in
from training.access import acts
from training.actions.accounts import check_own_hand
from training.models import (
    Entry,
    Job,
    JobConfirmation,
    Level,
    Observation,
    Reading,
    StandDown,
    User,
    days_back,
)
from training.records.clock import moment
from training.records.keeping import record
from training.records.levels import standing_of
from training.records.sheets import may_be_observed
from training.standing.rules.here import has_left

Row = TypeVar("Row", bound=Entry)


# the columns in which somebody said something
# Letters nobody sees can turn a sentence round on the screen, while the hash is over the other one.
SAID = ("note", "reason", "sentence", "printed_name")


def write_down(row: Row) -> Row:
    """Check the row, save it, and link it into the record book; call it inside a transaction.
    Raises Refused.
    """
    _check_words(row)
    check_row(row)
    row.save()
    record(row.KIND, row)
    return row


def _check_words(row: Row) -> None:
    """Raises Refused where what stands beside a signature would show other words than it holds."""
    for name in SAID:
        hidden = hidden_in(getattr(row, name, None) or "")
        if hidden:
            raise Refused(
                gettext(
                    "The text has an invisible letter ({letter}), which can make it look "
                    "different. Delete the text and type it again."
                ).format(letter=hidden)
            )


def check_day(on: date, today: date) -> None:
    """Raises Refused for a day that has not come yet."""
    if on > today:
        raise Refused(
            gettext("This day is still to come. Choose the day on which the work was done.")
        )


def check_here(person: User, on: date) -> None:
    """Raises Refused for a day before somebody's first or after the last."""
    if person.started is not None and on < person.started:
        raise Refused(
            gettext("{name} starts here on {day}. Choose that day or a later one.").format(
                name=person.name, day=say_day(person.started)
            )
        )
    if person.left is not None and on > person.left:
        raise Refused(
            gettext(
                "{name} left. The last day of work was {day}. Choose that day or an earlier one."
            ).format(name=person.name, day=say_day(person.left))
        )


def check_not_stopped(watcher: User, level: Level, now: datetime) -> None:
    """Raises Refused for the word of somebody on another's work while a stand-down holds, of
    whatever day the work is.

    What a stand-down is given for may have been wrong before it, so nothing that this person saw
    counts until it is lifted.
    """
    if (
        StandDown.objects.in_force(watcher.workshop.day_of(now))
        .at(level)
        .filter(person=watcher)
        .exists()
    ):
        raise Refused(
            gettext(
                "You cannot confirm a job now, because you are stood down at this level. You "
                "can when you are allowed to do this work again."
            )
        )


def _check_without_senior(
    person: User, level: Level, on: date, today: date, *, is_alone: bool
) -> None:
    """Raises Refused for a job that is too old, or older than a stand-down, to be written down by
    oneself.
    """
    # What is told long after is hard to deny: beyond the shop's days a second person answers for
    # it.
    most = days_back()
    if (today - on).days > most:
        raise Refused(
            ngettext(
                "You can log a job of today or yesterday. Ask a senior mechanic to log an "
                "older one.",
                "You can log a job up to {number} days back. Ask a senior mechanic to log an "
                "older one.",
                most,
            ).format(number=most)
            if most
            else gettext(
                "You can log a job only on the day itself. Ask a senior mechanic to log an "
                "older one."
            )
        )
    downs = StandDown.objects.filter(
        Q(level=level) | Q(level__isnull=True),
        person=person,
        # From the day after: on the day of the stand-down itself the standing refuses already.
        happened_on__gt=on,
        happened_on__lte=today,
    )
    # A watched one has the watcher's word; alone, whoever was stopped could back-date work to
    # before it.
    if is_alone and downs.exists():
        raise Refused(
            gettext("You were stood down after that day. Ask a senior mechanic to log this job.")
        )


@transaction.atomic
def record_reading(
    *, person: User, revision: Revision, on: date | None = None, now: datetime | None = None
) -> Reading:
    """The statement of a person to have studied this revision, today. Raises Refused unless it is
    released.
    """
    now = moment(now)
    today = person.workshop.day_of(now)
    on = on or today
    check_day(on, today)
    # A draft that is read today may be another text by its release.
    if revision.released_on is None or revision.released_on > on:
        raise Refused(gettext("This revision is not released. Read the released one."))
    return write_down(
        Reading(
            person=person,
            revision=revision,
            happened_on=on,
            recorded_at=now,
            recorded_by=person,
            once=True,
        )
    )


def _check_can_confirm(watcher: User, person: User, today: date) -> None:
    """Raises Refused for a watcher who did the job, or who can no longer say they watched it."""
    if watcher == person:
        raise Refused(
            gettext(
                "You cannot supervise your own job. Choose the mechanic who watched, or nobody."
            )
        )
    # By today: the word has to be given from now on, not on the day of the job.
    if not watcher.is_active or has_left(watcher, today):
        raise Refused(
            gettext(
                "{name} can no longer sign in, so nobody can confirm this job and it would "
                "not count. Do one more supervised job."
            ).format(name=watcher.name)
        )


def _nobody_was_alone(person: User, watcher: User | None) -> str:
    """Why a job cannot be written down that was neither done nor watched by somebody entitled."""
    if watcher:
        text = gettext(
            "{name} could not work alone at this level on that day, so {name} could not supervise "
            "this job. Choose the mechanic who watched."
        )
        return text.format(name=watcher.name)
    text = gettext(
        "{name} could not work alone at this level on that day. Choose the mechanic who watched. "
        "If nobody watched, stop and tell a senior."
    )
    return text.format(name=person.name)


# Whose standing is asked: the watcher's where there is one, since they then answer for the work. A
# word of one's own to another's job (`watched_by == by`) is an entry of its own, as if given later.
@transaction.atomic
def record_job(
    *,
    person: User,
    level: Level,
    revision: Revision | None,
    on: date,
    watched_by: User | None,
    variant: Mapping[str, str],
    by: User,
    today: date | None = None,
    now: datetime | None = None,
    values: Sequence[Mapping[str, str]] = (),
    came_back: bool = False,
    note: str = "",
    tools: Sequence[str] = (),
    by_program: bool = False,
) -> Job:
    """One job, alone or watched; a watched one counts once the watcher has confirmed it, or where
    the watcher enters it with their own hand (`by_program`: a program does it in their name).

    Raises Refused where nobody entitled did it or watched it on that day, for a day on which the
    person did not work here, of a watcher who is stood down now, and without a senior for an old
    one.
    """
    now = moment(now)
    today = today or person.workshop.day_of(now)
    check_day(on, today)
    check_here(person, on)
    if by == person:
        _check_without_senior(person, level, on, today, is_alone=watched_by is None)
    else:
        acts.ENTER_FOR_OTHERS.check(by)
    is_own_word = watched_by == by and not by_program
    if watched_by is not None:
        _check_can_confirm(watched_by, person, today)
    if standing_of(watched_by or person, level, on, now, variant) != "alone":
        raise Refused(_nobody_was_alone(person, watched_by))
    if is_own_word:
        check_own_hand(by, now)  # the watcher's word, which waits as a signature does
        check_not_stopped(by, level, now)
    job = write_down(
        Job(
            person=person,
            level=level,
            revision=revision,
            happened_on=on,
            recorded_at=now,
            recorded_by=by,
            watched_by=watched_by,
            variant=dict(variant),
            values=[dict(value) for value in values],
            came_back=came_back,
            note=note,
            tools=list(tools),
            needs_confirmation=watched_by is not None,
        )
    )
    if is_own_word:
        write_down(
            JobConfirmation(
                job=job, by=by, confirmed=True, happened_on=today, recorded_at=now, recorded_by=by
            )
        )
    return job


def _check_current(revision: Revision, on: date) -> None:
    """Raises Refused for a sheet of a revision after which another one was released by the day."""
    rows = Revision.objects.current(on).filter(writeup=revision.writeup_id)
    newer = rows.filter(number__gt=revision.number).first()
    # Else the old way of working would count as the change that is to be shown again.
    if newer is not None:
        raise Refused(say_newer(newer))


def say_newer(revision: Revision) -> str:
    """That a sheet was opened before this revision was released, and what to do."""
    return gettext(
        "Revision {number} was released while this page was open. Nothing was recorded. If this "
        "job followed revision {number}, choose again for every line how you saw it done. If not, "
        "watch one more job."
    ).format(number=revision.number)


def _check_lines(lines: Sequence[LineSeen]) -> None:
    """Raises Refused for a line that is left open, and for values that do not fit."""
    unseen = [line for line in lines if not line.seen]
    # No lines at all is nothing seen, and would else be right by being empty.
    if unseen or not lines:
        raise Refused(
            gettext("Choose for every line how you saw it done."), [line.title for line in unseen]
        )
    faults = [fault for line in lines for fault in line.faults()]
    if faults:
        raise Refused(
            gettext(
                "A measured value cannot be right. See the line marked below. Nothing was "
                "saved, and what you typed is still here."
            ),
            map(say, faults),
        )


# What cannot be mended is refused first, and the lines last, since these go back to be filled in.
# A write-up that would not count is refused now: at the sign-off the hour of two would be lost.
@transaction.atomic
def record_observation(
    *,
    person: User,
    level: Level,
    observer: User,
    revision: Revision,
    variant: Mapping[str, str],
    lines: Sequence[LineSeen],
    on: date | None = None,
    today: date | None = None,
    now: datetime | None = None,
    note: str = "",
    tools: Sequence[str] = (),
    photos: Sequence[str] = (),
) -> Observation:
    """What an observer saw of one job. It is right when nothing was wrong and every critical line
    was unaided.

    Raises Refused for a day on which the person did not work here, for a write-up that would not
    count at the level, a revision that is not the current one, for one's own job, an observer who
    is not alone at the level or is stood down now, a line left open, a value that can't be read,
    one outside its range in a line told as right, or within an hour of a password by somebody
    else's hand. Without a day it was seen today.
    """
    now = moment(now)
    today = today or observer.workshop.day_of(now)
    on = on or today
    check_day(on, today)
    check_here(person, on)
    check_own_hand(observer, now)  # it counts before a sign-off, so it waits as a signature does
    acts.OBSERVE.check(observer, person)
    # Whoever may not do it alone cannot judge it either.
    if standing_of(observer, level, on, now, variant) != "alone":
        raise Refused(
            gettext("You cannot observe this: you may not work alone at this level on that day.")
        )
    check_not_stopped(observer, level, now)
    if not may_be_observed(person, level, revision, on=on, now=now):
        raise Refused(
            gettext(
                "This observation would not count: {title} does not belong to this level. "
                "Choose a write-up of this level."
            ).format(title=revision.writeup.title)
        )
    _check_current(revision, on)
    _check_lines(lines)
    return write_down(
        Observation(
            person=person,
            level=level,
            observer=observer,
            revision=revision,
            variant=dict(variant),
            lines=[line.as_dict() for line in lines],
            # Worked out and not asked, so that nobody ticks "right" above a line that was not.
            right=is_right(lines),
            happened_on=on,
            recorded_at=now,
            recorded_by=observer,
            note=note,
            tools=list(tools),
            photos=list(photos),
        )
    )
