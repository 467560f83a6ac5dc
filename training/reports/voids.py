"""What would fall if an entry were declared void, what waits for a decision, and what fell with
what was decided?
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.utils.translation import gettext, gettext_lazy, gettext_noop

from procedures.models import WriteUp
from procedures.records.days.reader import say_day
from procedures.records.wording.pieces import join_or
from quizzes.models import Quiz
from training.access import acts
from training.models import (
    Job,
    Observation,
    PaperPass,
    Reading,
    SignOff,
    User,
    Void,
    VoidAsked,
    VoidDecided,
)
from training.records.gathering import gather
from training.records.levels import title_of
from training.reports.who_may import shop_levels
from training.standing import evidence
from training.standing.answer import standings
from training.standing.dependants import Dependants, entries_falling_with, shop_with_void
from training.standing.evidence import Shop
from training.standing.question import questions_covered

WORDS = {
    "signoff": gettext_lazy("sign-off"),
    "job": gettext_lazy("job"),
    "reading": gettext_lazy("reading"),
    "pass": gettext_lazy("passed quiz"),
    "observation": gettext_lazy("observation"),
}
FELL = {
    "signoff": gettext_noop("sign-off, {level}, by {name}"),
    "observation": gettext_noop("observation, {level}, by {name}"),
    "job": gettext_noop("supervised job, {level}, by {name}"),
}


Fork = Mapping[str, str]
TitlesNamed = dict[tuple[str, str], str]
Rested = evidence.SignOff | evidence.Observation | evidence.Job


@dataclass(frozen=True, slots=True)
class Named:
    """What a void names: every such entry of a person and day. `said` tells it in words."""

    kind: str
    about: str
    on: date
    said: str


@dataclass(frozen=True, slots=True)
class Fell:
    """One entry that falls with another: whose, what, on which day."""

    on: date
    person: str
    said: str
    login: str
    level: str


@dataclass(frozen=True, slots=True)
class Changed:
    """One standing that changes."""

    login: str
    person: str
    level: str
    title: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Effect:
    """What falls with a void, and whose standing changes today."""

    fell: tuple[Fell, ...]
    changed: tuple[Changed, ...]


@dataclass(frozen=True, slots=True)
class Listed:
    """One void that was asked for, or brought in."""

    pk: int | None
    person: str
    said: str
    by: str
    reason: str
    asked_on: datetime
    decided: str
    decided_by: str


@dataclass(frozen=True, slots=True)
class VoidsPage:
    waiting: tuple[Listed, ...]
    decided: tuple[Listed, ...]


def entries_to_name(person: User) -> tuple[Named, ...]:
    """Every entry of a person that may be declared void, the newest first, one for each kind, level
    and day.
    """
    tables: dict[str, Iterable[tuple[str, date]]] = {
        "signoff": SignOff.objects.filter(person=person).values_list("level__name", "happened_on"),
        "observation": Observation.objects.filter(person=person).values_list(
            "level__name", "happened_on"
        ),
        "job": Job.objects.filter(person=person, taken_back__isnull=True).values_list(
            "level__name", "happened_on"
        ),
        "pass": PaperPass.objects.filter(person=person).values_list("level__name", "happened_on"),
        "reading": Reading.objects.filter(person=person).values_list(
            "revision__writeup__name", "happened_on"
        ),
    }
    rows = [(kind, about, on) for kind, found in tables.items() for about, on in found]
    sat = person.sittings.filter(recorded_at__isnull=False, happened_on__isnull=False)
    rows += [("pass", name, on) for name, on in sat.values_list("quiz__name", "happened_on") if on]
    titles = _titles_of_entries()
    named = {
        Named(kind, about, on, f"{WORDS[kind]}, {titles.get((kind, about), about)}")
        for kind, about, on in rows
    }
    return tuple(sorted(named, key=lambda one: (one.on, one.said), reverse=True))


def name_deciders(person: User, asker: User, on: date) -> str:
    """Who could be the second person for a void about somebody, by name; empty where nobody is."""
    rows = User.objects.able_to(acts.DECIDE_VOID.permission, on)
    return join_or([row.name for row in rows.exclude(pk__in=(person.pk, asker.pk))])


def effect_of(
    *, kind: str, person: User, about: str, on: date, today: date, now: datetime
) -> Effect:
    """What falls if this is declared void now, and whose standing changes today."""
    shop = gather()
    # Thought of as recorded now: exactly what the second person's word would write.
    void = evidence.Void(kind, person.login, about, on, now)  # type: ignore[arg-type]  # a kind from the choices of the table
    return _effect(
        shop, shop_with_void(shop, void), entries_falling_with(shop, void, now), today, now
    )


def effect_of_decided(void: Void, *, now: datetime) -> Effect:
    """What fell with a void that is on record, as known right after it."""
    shop = gather()
    key = (void.kind, void.person.login, void.about, void.happened_on)
    # All of the same name go: two voids of one entry would else each seem to have done nothing.
    without = [row for row in shop.voids if (row.kind, row.person, row.about, row.on) != key]
    mine = next(row for row in shop.voids if (row.kind, row.person, row.about, row.on) == key)
    before = _replaced(shop, without)
    return _effect(
        before, shop, entries_falling_with(before, mine, now), void.person.workshop.today(), now
    )


def _replaced(shop: Shop, voids: list[evidence.Void]) -> Shop:
    return replace(shop, voids=tuple(voids))


def _effect(before: Shop, after: Shop, fallen: Dependants, today: date, now: datetime) -> Effect:
    people = {person.login: person.name for person in before.people}
    titles = _titles(before)
    levels = [name for name, _ in shop_levels(before, today)]

    def changes(fork: Fork) -> Iterator[Changed]:
        then, since = (standings(shop, levels, today, now, fork) for shop in (before, after))
        beside = ", ".join(f"{name} {option}" for name, option in fork.items())
        for (login, level), word in then.items():
            if since[login, level] != word:
                title = f"{titles[level]} ({beside})" if beside else titles[level]
                yield Changed(login, people[login], level, title, word, since[login, level])

    def fell(row: Rested, said: str, beside: str) -> Fell:
        text = gettext(said).format(level=titles[row.level], name=people[beside])
        return Fell(row.on, people[row.person], text, row.person, row.level)

    lost = [
        *(fell(row, FELL["signoff"], row.signer) for row in fallen.signoffs),
        *(fell(row, FELL["observation"], row.observer) for row in fallen.observations),
        *(fell(row, FELL["job"], row.watched_by or "") for row in fallen.jobs),
    ]
    return Effect(
        fell=tuple(sorted(lost, key=lambda one: (one.on, one.person, one.said))),
        changed=_once(row for fork in ({}, *_forks_limited_to(before)) for row in changes(fork)),
    )


def _once(rows: Iterable[Changed]) -> tuple[Changed, ...]:
    """Each person and level once, with what changes on any fork before what does on some."""
    found: dict[tuple[str, str], Changed] = {}
    for row in rows:
        found.setdefault((row.login, row.level), row)
    return tuple(found.values())


def _forks_limited_to(shop: Shop) -> Iterator[Fork]:
    """The forks for which somebody is signed off and not for every one."""
    limits = dict.fromkeys(row.limits for row in shop.signoffs if row.limits)
    questions = dict.fromkeys(one for some in limits for one in questions_covered(some))
    # Sorted, since a question is a set and the same page must read the same.
    return (dict(sorted(question)) for question in questions)


def _titles(shop: Shop) -> dict[str, str]:
    return {rules.level: title_of(shop, rules.level, date.max) for rules in shop.levels}


def _titles_of_entries() -> TitlesNamed:
    """What each kind of entry is about, by its short name: a level, a quiz or a write-up."""
    levels = _titles(gather())
    quizzes = dict(Quiz.objects.values_list("name", "title"))
    writeups = dict(WriteUp.objects.values_list("name", "title"))
    by_kind = dict.fromkeys(WORDS, levels) | {"pass": quizzes | levels, "reading": writeups}
    return {
        (kind, name): title for kind, titles in by_kind.items() for name, title in titles.items()
    }


def voids_page() -> VoidsPage:
    """What waits for a second person, and what has been decided or was brought in; the newest
    first.
    """
    asked = VoidAsked.objects.select_related(
        "person", "by", "decided__by", "decided__void"
    ).order_by("-pk")
    titles = _titles_of_entries()
    rows = [_listed(row, titles) for row in asked]
    brought = (
        Void.objects.filter(decided__isnull=True).select_related("person", "by").order_by("-pk")
    )
    listed = [
        Listed(
            None,
            row.person.name,
            _describe_entries(row.kind, row.about, row.happened_on, titles),
            row.by.name,
            row.reason,
            row.recorded_at,
            gettext("cancelled"),
            "",
        )
        for row in brought
    ]
    return VoidsPage(
        tuple(row for row in rows if not row.decided),
        (*(row for row in rows if row.decided), *listed),
    )


def _listed(row: VoidAsked, titles: TitlesNamed) -> Listed:
    decided = getattr(row, "decided", None)
    word = _word(row, decided) if decided else ""
    said = _describe_entries(row.kind, row.about, row.happened_on, titles)
    return Listed(
        row.pk,
        row.person.name,
        said,
        row.by.name,
        row.reason,
        row.recorded_at,
        word,
        decided.by.name if decided else "",
    )


def _word(asked: VoidAsked, decided: VoidDecided) -> str:
    if decided.void_id:
        return gettext("cancelled")
    if decided.by_id == asked.by_id:
        return gettext("taken back: {reason}").format(reason=decided.reason)
    return gettext("not cancelled: {reason}").format(reason=decided.reason)


def _describe_entries(kind: str, about: str, on: date, titles: TitlesNamed) -> str:
    return gettext("{kind}, {title}, of {day}").format(
        kind=WORDS[kind], title=titles.get((kind, about), about), day=say_day(on)
    )


def describe_asked(row: VoidAsked) -> str:
    """What a void that was asked for names, in words."""
    return _describe_entries(row.kind, row.about, row.happened_on, _titles_of_entries())
