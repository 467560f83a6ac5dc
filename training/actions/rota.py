"""Who works when, who is away, and how many alone are wanted? None of it is evidence: the cover is
worked out from it.

What the rota said of days that are over is left as it was, so that the past can still be asked
about.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext, gettext_lazy

from procedures.records.checked import check_row
from procedures.records.refused import Refused
from training.access import acts
from training.models import DAYS, Absence, Level, Rota, User, Want, Workshop

# A guard against a slip of the keyboard: no workshop has as many at one level.
MOST_WANTED = 99
SPAN = ("first", "until")


@transaction.atomic
def set_shift(
    *, person: User, workshop: Workshop, weekdays: Collection[str], first: date, by: User
) -> Rota | None:
    """From a day on somebody works on these weekdays in this workshop, and there on no others; None
    where it is on none.

    Raises Refused without the right, ValueError for a word that is no weekday.
    """
    acts.KEEP_ROTA.check(by)
    # ValueError and not Refused: forms offer the seven, so that this is a fault of the program.
    if unknown := set(weekdays) - set(DAYS):
        raise ValueError(f"There is no weekday {', '.join(sorted(unknown))}.")
    # Two changes of one person's weekdays would else each end the old row and leave two new ones.
    User.objects.select_for_update(no_key=True).get(pk=person.pk)
    rows = Rota.objects.filter(person=person, workshop=workshop)
    # What was planned from a later day on is replaced too; what lies before keeps its days.
    rows.filter(first__gte=first).delete()
    rows.filter(Q(until__isnull=True) | Q(until__gte=first)).update(until=first - timedelta(days=1))
    if not weekdays:
        return None
    return Rota.objects.create(
        person=person, workshop=workshop, first=first, **{day: day in weekdays for day in DAYS}
    )


@transaction.atomic
def add_absence(*, person: User, first: date, until: date, by: User, why: str = "") -> Absence:
    """Somebody is away from a day to another, both included. Raises Refused without the right, and
    for days that run backwards.
    """
    acts.KEEP_ROTA.check(by)
    absence = Absence(person=person, first=first, until=until, why=why)
    check_row(absence)
    absence.save()
    return absence


@transaction.atomic
def drop_absence(*, person: User, pk: int, by: User) -> None:
    """The absence does not take place. Raises Refused without the right, and where it is gone
    already.
    """
    acts.KEEP_ROTA.check(by)
    if not Absence.objects.filter(person=person, pk=pk).delete()[0]:
        raise Refused(gettext("This absence was taken out already."))


@transaction.atomic
def set_want(*, workshop: Workshop, level: Level, counts: Mapping[str, int], by: User) -> None:
    """How many alone are wanted for a level on each weekday, from now on. Raises Refused without
    the right, and for a number that cannot be.
    """
    acts.KEEP_ROTA.check(by)
    if any(not 0 <= counts.get(day, 0) <= MOST_WANTED for day in DAYS):
        raise Refused(gettext("Type a number of people from 0 to {most}.").format(most=MOST_WANTED))
    if not any(counts.values()):
        # Nobody wanted on any day is no want at all, and a row would show a level with nothing to
        # say.
        Want.objects.filter(workshop=workshop, level=level).delete()
        return
    Want.objects.update_or_create(
        workshop=workshop, level=level, defaults={day: counts.get(day, 0) for day in DAYS}
    )


CHANGED_SINCE = gettext_lazy("This has been changed since. Nothing was undone.")


def shift_rows(person: User) -> list[dict[str, Any]]:
    """The weekdays of somebody as plain values, to be put back by an undo."""
    rows = Rota.objects.filter(person=person).order_by("pk").values("workshop_id", *DAYS, *SPAN)
    return [
        row | {name: row[name].isoformat() if row[name] else None for name in SPAN} for row in rows
    ]


def absence_row(person: User, pk: int) -> dict[str, Any] | None:
    """An absence of somebody as plain values, to be put back by an undo; None where it is none."""
    row = Absence.objects.filter(person=person, pk=pk).values("pk", *SPAN, "why").first()
    return {**row, **{name: row[name].isoformat() for name in SPAN}} if row else None


def want_counts(workshop: Workshop, level: Level) -> dict[str, int]:
    """How many are wanted on each weekday, as plain values."""
    row = Want.objects.filter(workshop=workshop, level=level).first()
    return {day: getattr(row, day, 0) for day in DAYS}


@transaction.atomic
def put_back_shifts(
    *,
    person: User,
    before: Sequence[Mapping[str, Any]],
    after: Sequence[Mapping[str, Any]],
    by: User,
) -> None:
    """The weekdays are again what they were before a change. Raises Refused without the right, and
    where they are no more what they were after it: somebody else's work is not undone.
    """
    acts.KEEP_ROTA.check(by)
    User.objects.select_for_update(no_key=True).get(pk=person.pk)
    # Held against what the change left behind: an undo must not take somebody else's work away.
    if shift_rows(person) != list(after):
        raise Refused(str(CHANGED_SINCE))
    Rota.objects.filter(person=person).delete()
    for row in before:
        span = {name: date.fromisoformat(row[name]) if row[name] else None for name in SPAN}
        Rota.objects.create(person=person, **{**row, **span})


@transaction.atomic
def put_back_want(
    *,
    workshop: Workshop,
    level: Level,
    before: Mapping[str, int],
    after: Mapping[str, int],
    by: User,
) -> None:
    """As many are wanted as before a change. Raises Refused as `put_back_shifts` does."""
    if want_counts(workshop, level) != dict(after):
        raise Refused(str(CHANGED_SINCE))
    set_want(workshop=workshop, level=level, counts=before, by=by)


@transaction.atomic
def put_back_absence(
    *, person: User, before: Mapping[str, Any] | None, after: Mapping[str, Any] | None, by: User
) -> None:
    """An absence is again what it was before a change: there, or not. Raises Refused as
    `put_back_shifts` does.
    """
    acts.KEEP_ROTA.check(by)
    User.objects.select_for_update(no_key=True).get(pk=person.pk)
    known = before or after or {}
    days = {name: date.fromisoformat(known[name]) for name in SPAN}
    others = Absence.objects.filter(person=person, **days).exclude(pk=known["pk"])
    if absence_row(person, known["pk"]) != after or (before and others.exists()):
        raise Refused(str(CHANGED_SINCE))
    Absence.objects.filter(person=person, pk=known["pk"]).delete()
    if before:
        # The number it had: a calendar program knows its event by it.
        Absence.objects.create(person=person, **{**before, **days})
