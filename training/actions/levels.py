"""What is a service level to ask from now on?"""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from procedures.models import WriteUp
from procedures.records.refused import Refused, make_refusal
from quizzes.actions.questions import set_quiz
from training.models import Level, LevelRules, User, as_columns
from training.records.clock import moment
from training.records.keeping import record
from training.standing.terms import Terms


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

    Raises Refused where the rules name a level or write-up that is not there, where levels would
    wait for each other, or where the level has to be new and is not.
    """
    now = moment(now)
    if must_be_new and Level.objects.filter(name=name).exists():
        raise Refused(
            gettext(
                "There is a level named {name} already. Change its rules, or choose another name."
            ).format(name=name)
        )
    level = Level.objects.filter(name=name).first() or Level(name=name)
    _check_names(name, terms)
    try:
        level.full_clean()
        level.save()
        kept = as_columns(asdict(terms))
        rules = LevelRules(level=level, from_day=from_day, by=by, recorded_at=now, **kept)
        rules.full_clean()
    except ValidationError as error:
        raise make_refusal(error) from error
    rules.save()
    record(LevelRules.KIND, rules)
    writeups = list(WriteUp.objects.filter(name__in=terms.writeups))
    if writeups:
        level.quiz = set_quiz(name=name, title=terms.title, writeups=writeups, by=by, now=now)
        level.save()
    record(Level.KIND, level)
    return rules


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
    before: dict[str, list[str]] = {
        rules.level.name: rules.earlier
        for rules in LevelRules.objects.select_related("level").order_by("pk")
    }
    before[name] = list(terms.earlier)
    if _comes_back(name, before):
        raise Refused(
            gettext("{name} would need itself first. Take one of its earlier levels out.").format(
                name=name
            )
        )


def _comes_back(name: str, before: dict[str, list[str]]) -> bool:
    seen: set[str] = set()
    open_names = list(before[name])
    while open_names:
        earlier = open_names.pop()
        if earlier == name:
            return True
        if earlier not in seen:
            seen.add(earlier)
            open_names.extend(before.get(earlier, []))
    return False
