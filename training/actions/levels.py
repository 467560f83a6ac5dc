"""What is a service level to ask from now on?"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import asdict, replace
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.models import WriteUp
from procedures.records.checked import check_row
from procedures.records.refused import Refused
from quizzes.actions.questions import set_quiz
from training.access import acts
from training.models import Level, LevelRules, User, Workshop, as_columns
from training.records.clock import moment
from training.records.keeping import record
from training.standing.terms import TERMS, Terms


@transaction.atomic
def set_level(
    *,
    name: str,
    terms: Terms,
    now: datetime | None = None,
    from_day: date | None = None,
    by: User | None = None,
    must_be_new: bool = False,
) -> LevelRules:
    """A new version of a level's rules, with its record book entry; makes the level where it is
    new.

    Raises Refused without the right (`by` is None where a folder comes in), where the rules name a
    level or write-up that is not there, where levels would wait for each other, or where the level
    has to be new and is not.
    """
    now = moment(now)
    if by is not None:
        acts.KEEP_LEVELS.check(by)
    if must_be_new and Level.objects.filter(name=name).exists():
        raise Refused(
            gettext(
                "There is a level named {name} already. Change its rules, or choose another name."
            ).format(name=name)
        )
    # Behind `moment`, whose lock keeps two from making the same level at once.
    level = Level.objects.filter(name=name).first() or Level(name=name)
    # Here and not in the table: names in JSON have no foreign key to refuse them.
    _check_names(name, terms)
    check_row(level)
    level.save()
    kept = as_columns(asdict(terms))
    rules = LevelRules(level=level, from_day=from_day, by=by, recorded_at=now, **kept)
    check_row(rules)
    rules.save()
    # The rules before the level, which gets its quiz below and is recorded as it then is.
    record(LevelRules.KIND, rules)
    _set_quiz_by(level, _held_before(_versions(level), _today(by, now)), by, now)
    # Always, also when only its rules have changed: the newest entry is held against the row.
    record(Level.KIND, level)
    return rules


def _set_quiz_by(level: Level, held: LevelRules, by: User | None, now: datetime) -> None:
    """The quiz asks by the rules that hold today: what is set ahead waits for its day here too."""
    writeups = list(WriteUp.objects.filter(name__in=held.writeups))
    # Without a write-up there is nothing to draw questions from.
    if writeups:
        level.quiz = set_quiz(name=level.name, title=held.title, writeups=writeups, by=by, now=now)
        level.save()


def _versions(level: Level) -> list[LevelRules]:
    return list(LevelRules.objects.filter(level=level).order_by("pk"))


def _today(by: User | None, now: datetime) -> date:
    workshop = by.workshop if by else Workshop.objects.order_by("pk").first()
    return workshop.day_of(now) if workshop else now.date()


@transaction.atomic
def keep_quiz_in_step(*, level: Level, on: date, now: datetime | None = None) -> None:
    """The quiz of a level asks by the rules of a day, also of one that was set ahead and has come
    without anybody's hand.
    """
    rows = _versions(level)
    if level.quiz is None or not rows:
        return
    held = _held_before(rows, on)
    asks = set(level.quiz.writeups.values_list("name", flat=True))
    # Nearly always it does, and then nothing is written.
    if held.writeups and asks != set(held.writeups):
        _set_quiz_by(level, held, None, moment(now))


@transaction.atomic
def ask_for_writeups(
    *, level: Level, writeups: Collection[str], by: User, now: datetime | None = None
) -> LevelRules:
    """A new version of a level's rules, from today on, by which it asks for these write-ups too.

    Raises Refused without the right, and where the level asks for all of them already.
    """
    now = moment(now)
    acts.KEEP_LEVELS.check(by)

    def ask_too(terms: Terms) -> Terms:
        new = [name for name in writeups if name not in terms.writeups]
        return replace(terms, writeups=(*terms.writeups, *new))

    changed = change_terms(level=level, change=ask_too, by=by, now=now)
    if not changed:
        raise Refused(gettext("This level asks for this write-up already. Nothing was changed."))
    return changed[0]


@transaction.atomic
def change_terms(
    *, level: Level, change: Callable[[Terms], Terms], by: User, now: datetime | None = None
) -> list[LevelRules]:
    """New versions of a level's rules: a change is made to what holds today, and to what was set
    for days ahead; none where it changes nothing. It alone holds from today on: what else a version
    ahead asks waits for its day.
    """
    now = moment(now)
    rows = _versions(level)
    if not rows:
        return []
    today = by.workshop.day_of(now)
    ahead = sorted({row.from_day for row in rows if row.from_day and row.from_day > today})
    made = []
    for day in (today, *ahead):
        held = _held_before(rows, day)
        terms = Terms(**{name: getattr(held, name) for name in TERMS})
        terms = replace(terms, writeups=tuple(terms.writeups), earlier=tuple(terms.earlier))
        if (changed := change(terms)) != terms:
            made.append(set_level(name=level.name, terms=changed, now=now, from_day=day, by=by))
    return made


@transaction.atomic
def undo_rules(*, rules: LevelRules, by: User, now: datetime | None = None) -> LevelRules:
    """A further version, from the first day of the one to be undone on, with what held then before
    it: nothing is taken out of the record.

    Raises Refused without the right, where a newer version is there, for one of another day, and
    where there was none before.
    """
    now = moment(now)
    acts.KEEP_LEVELS.check(by)
    rows = _versions(rules.level)
    # An undo must not undo somebody else's change, as `put_back_shifts` in `rota.py`.
    if rows[-1].pk != rules.pk:
        raise Refused(gettext("These rules have been changed since. Nothing was undone."))
    # Rules that have stood for days have been answered by; going back on them is a change like any
    # other.
    if by.workshop.day_of(rules.recorded_at) != by.workshop.day_of(now):
        raise Refused(
            gettext("Only rules that were saved today can be undone. Save the rules that you want.")
        )
    if len(rows) < 2:
        raise Refused(gettext("There are no earlier rules to go back to."))
    before = _held_before(rows[:-1], rules.from_day)
    terms = Terms(**{name: getattr(before, name) for name in TERMS})
    return set_level(name=rules.level.name, terms=terms, now=now, from_day=rules.from_day, by=by)


def _held_before(rows: Sequence[LevelRules], day: date | None) -> LevelRules:
    """Which of these versions held on a day (None: from the beginning); a day before the first of
    them is read by that first one.
    """
    ordered = sorted(rows, key=lambda row: (row.from_day or date.min, row.pk))
    first = day or date.min
    holding = [row for row in ordered if (row.from_day or date.min) <= first]
    return holding[-1] if holding else ordered[0]


def _check_names(name: str, terms: Terms) -> None:
    missing = set(terms.writeups) - set(
        WriteUp.objects.filter(name__in=terms.writeups).values_list("name", flat=True)
    )
    if missing:
        raise Refused(
            gettext(
                "There is no write-up named {missing}. Add it first, or take the name out here."
            ).format(missing=", ".join(sorted(missing)))
        )
    missing = set(terms.earlier) - set(Level.objects.values_list("name", flat=True))
    if missing:
        raise Refused(
            gettext(
                "There is no level named {missing}. Add it first, or take the name out here."
            ).format(missing=", ".join(sorted(missing)))
        )
    # The newest of each level, since a dict keeps the last of one key.
    before: dict[str, list[str]] = {
        rules.level.name: rules.earlier
        for rules in LevelRules.objects.select_related("level").order_by("pk")
    }
    before[name] = list(terms.earlier)
    if _comes_back(name, before):
        raise Refused(
            gettext(
                "{name} would then need itself first. Take one of its earlier levels out."
            ).format(name=name)
        )


def _comes_back(name: str, before: dict[str, list[str]]) -> bool:
    seen: set[str] = set()
    open_names = list(before[name])
    while open_names:
        earlier = open_names.pop()
        if earlier == name:
            return True
        # A circle that does not pass through this level is older than this change, and must not
        # hang it.
        if earlier not in seen:
            seen.add(earlier)
            open_names.extend(before.get(earlier, []))
    return False
