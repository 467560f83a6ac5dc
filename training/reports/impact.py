"""What would the release of a revision mean: whose standing, how much work, which questions, which
days of the rota?
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_noop, ngettext

from procedures.models import Revision
from procedures.records import asking
from procedures.records.days.reader import say_day
from procedures.records.texts import parse_once
from procedures.writeup.diff import HEADER
from quizzes.marking.changed import steps_to_read_again
from quizzes.models import QuestionVersion
from training.cover import release as cover
from training.records.gathering import gather
from training.records.levels import title_of
from training.reports.cover import (
    Short,
    Titles,
    describe_days,
    name_of,
    rota_of,
    short_days,
    wanted_of,
)
from training.standing import impact
from training.standing.evidence import RevisionFact, Shop

# days that are looked at from a release on, and in which a better day for it is sought
HORIZON = 90


@dataclass(frozen=True, slots=True)
class ChangeAhead:
    """One person whose standing changes at a level, if nobody does anything."""

    name: str
    workshop: str
    level: str
    spans: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class SetAside:
    """One question that rests on a step that changes."""

    name: str
    stem: str
    steps: str


@dataclass(frozen=True, slots=True)
class LateShown:
    name: str
    level: str
    by: str


@dataclass(frozen=True, slots=True)
class ImpactPage:
    """Everything on the page; hours and counts as text."""

    name: str
    number: int
    title: str
    asks: str
    old: int | None
    on: date
    until: date
    changes: tuple[ChangeAhead, ...]
    people_asked: tuple[tuple[str, str], ...]
    steps: str
    hours: tuple[tuple[str, str], ...]
    assumed: tuple[str, ...]
    set_aside: tuple[SetAside, ...]
    has_wants: bool
    if_nobody: tuple[Short, ...]
    if_all: tuple[Short, ...]
    late: tuple[LateShown, ...]
    earliest: date | None
    is_sought: bool
    horizon: int


@dataclass(frozen=True, slots=True)
class InShort:
    """A few sentences for the page of the revision."""

    sentences: tuple[str, ...]
    url: str


def impact_page(revision: Revision, *, on: date, now: datetime, seek: bool = False) -> ImpactPage:
    """What the release on a day would mean; a fixed number of queries. `seek`: where it would break
    the cover, the earliest day on which it would not is looked for too, which takes some time in a
    large shop."""
    shop, base = gather(), asking.find_base(revision)
    fact = RevisionFact(revision.writeup.name, revision.number, on, revision.asks)  # type: ignore[arg-type]
    stage = cover.Stage(shop, rota_of(), wanted_of(), now, HORIZON)
    found = cover.cover_of(stage, fact)
    title = _titles(shop, on)
    steps = _steps_to_read(revision, base)
    asked = impact.asks_of_people(shop, fact, impact.moment_known(on, now))
    return ImpactPage(
        name=revision.writeup.name,
        number=revision.number,
        title=parse_once(revision.text).title or revision.writeup.title,
        asks=revision.asks,
        old=base.number if base else None,
        on=on,
        until=found.until,
        changes=_changes(shop, fact, now, found.until, title),
        people_asked=_people_asked(shop, asked, title),
        steps=str(steps),
        hours=_hours(impact.count_minutes(asked, steps)),
        assumed=_assumed(),
        set_aside=questions_set_aside(revision, base),
        has_wants=bool(stage.wanted),
        if_nobody=short_days(found.if_nobody, title, shop),
        if_all=short_days(found.if_all, title, shop),
        late=tuple(
            LateShown(
                name_of(shop, one.person), title(one.level), say_day(one.by) if one.by else ""
            )
            for one in found.late
        ),
        earliest=cover.find_earliest(stage, fact, on + timedelta(days=HORIZON))
        if found.if_all and seek
        else None,
        is_sought=seek,
        horizon=HORIZON,
    )


def impact_in_short(revision: Revision, now: datetime) -> InShort:
    """The same in a few sentences, for a release today."""
    on = timezone.localdate(now)
    page = impact_page(revision, on=on, now=now)
    people = len({change.name for change in page.changes})
    sentences = [
        _say_people(people),
        gettext("It takes about {time} of work in all.").format(time=page.hours[-1][1])
        if page.hours
        else gettext("Nobody has to do anything."),
        _say_questions(len(page.set_aside)),
    ]
    if page.if_all:
        sentences.append(
            gettext("Some day becomes short, even if everybody does what is asked at once.")
        )
    return InShort(tuple(sentences), reverse("training:impact", args=[page.name, page.number]))


def questions_set_aside(revision: Revision, base: Revision | None) -> tuple[SetAside, ...]:
    """The questions of the write-up that the release sets aside: those asked now that stand on a
    step it changes.
    """
    # A first revision changes no step that a question could rest on.
    if base is None:
        return ()
    new = parse_once(revision.text)
    changed, titles = (
        steps_to_read_again(parse_once(base.text), new),
        {step.id: step.title for step in new.steps},
    )
    rows = (
        QuestionVersion.objects.in_use()
        .filter(question__writeup=revision.writeup_id)
        .select_related("question")
    )
    return tuple(
        SetAside(
            row.question.name,
            row.stem,
            ", ".join(titles.get(step, step) for step in row.steps if step in changed),
        )
        for row in rows.order_by("question__name")
        if changed.intersection(row.steps)
    )


def _steps_to_read(revision: Revision, base: Revision | None) -> int:
    """How many changed steps ask to be read; of a first revision all of its steps."""
    if base is None:
        return len(parse_once(revision.text).steps)
    asked = asking.list_asked(revision, base)
    return sum(1 for one in asked if one.asks != "nothing" and one.change.key != HEADER)


def _titles(shop: Shop, on: date) -> Titles:
    return lambda level: title_of(shop, level, on)


def _changes(
    shop: Shop, fact: RevisionFact, now: datetime, until: date, title: Titles
) -> tuple[ChangeAhead, ...]:
    rows = []
    for one in impact.people_touched(shop, fact, impact.moment_known(fact.released, now), until):
        spans = tuple(
            (
                describe_days(span.first, span.until if span.until < until else None),
                span.without,
                span.with_it,
            )
            for span in one.differences
        )
        rows.append(
            ChangeAhead(
                name_of(shop, one.person),
                shop.files.people[one.person].workshop,
                title(one.level),
                spans,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.workshop, row.level, row.name)))


WHO = {
    "alone": gettext_noop("{name}, who may work alone at {level}"),
    "watched": gettext_noop("{name}, who works under supervision at {level}"),
}


def _people_asked(
    shop: Shop, asked: Iterable[impact.AsksOfPerson], title: Titles
) -> tuple[tuple[str, str], ...]:
    told = []
    for one in asked:
        what = [
            word
            for word, is_asked in (
                (gettext("read it again"), one.reads),
                (gettext("pass the quiz again"), one.answers),
                (gettext("show the work again"), one.shows),
            )
            if is_asked
        ]
        who = gettext(WHO[one.standing]).format(
            name=name_of(shop, one.person), level=title(one.level)
        )
        told.append((who, ", ".join(what)))
    return tuple(told)


def _say_people(people: int) -> str:
    if not people:
        return gettext("If nobody does anything, nobody’s answer changes.")
    return ngettext(
        "If nobody does anything, the answer changes for {people} person.",
        "If nobody does anything, the answer changes for {people} people.",
        people,
    ).format(people=people)


def _say_questions(questions: int) -> str:
    if not questions:
        return gettext("No question is about a step that changes.")
    return ngettext(
        "{questions} question is about steps that change.",
        "{questions} questions are about steps that change.",
        questions,
    ).format(questions=questions)


def _hours(found: impact.Minutes) -> tuple[tuple[str, str], ...]:
    rows = (
        (gettext("reading again"), found.reading),
        (gettext("answering again"), found.answering),
        (gettext("showing again"), found.showing),
        (gettext("seniors watching"), found.watching),
        (gettext("all together"), found.total),
    )
    return tuple((label, _long(minutes)) for label, minutes in rows if minutes)


def _long(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return " ".join(
        part
        for part in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "")
        if part
    )


def _assumed() -> tuple[str, ...]:
    return (
        gettext("{minutes} min to read each changed step").format(
            minutes=impact.READING_MINUTES_A_STEP
        ),
        gettext("{minutes} min for a sitting of the quiz").format(minutes=impact.SITTING_MINUTES),
        gettext("{minutes} min each for the person and the senior to show a job").format(
            minutes=impact.SHOWING_MINUTES
        ),
    )
