"""What would the release of a revision mean: whose standing, how much work, which questions, which days of the rota?"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.urls import reverse
from django.utils import timezone

from procedures import asking
from procedures.models import Revision
from procedures.texts import parsed
from procedures.writeup.diff import HEADER
from quizzes.marking.changed import steps_to_read_again
from quizzes.models import QuestionVersion
from training.cover import release as cover
from training.cover.gaps import Gap
from training.cover.rota import Away, Rota, Shift, Wanted
from training.gathering import day_text, gather
from training.models import DAYS, Absence, Want
from training.models import Rota as RotaRow
from training.sheets import title_of
from training.standing import impact
from training.standing.evidence import RevisionFact, Shop

HORIZON = 90  # days that are looked at from a release on, and in which a better day for it is sought


@dataclass(frozen=True, slots=True)
class Change:
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
class GapSpan:
    """Days running from one to another on which the same people are there, fewer than wanted."""

    days: str
    wanted: str
    there: str


@dataclass(frozen=True, slots=True)
class Short:
    """One workshop and level with all the days on which too few are there: how many, from when, and each span."""

    workshop: str
    level: str
    count: str
    days: str
    spans: tuple[GapSpan, ...]


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
    changes: tuple[Change, ...]
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
    horizon: str


@dataclass(frozen=True, slots=True)
class InShort:
    """A few sentences for the page of the revision."""

    sentences: tuple[str, ...]
    url: str


def impact_page(revision: Revision, *, on: date, now: datetime, seek: bool = False) -> ImpactPage:
    """What the release on a day would mean; a fixed number of queries. `seek`: where it would break the cover, the earliest
    day on which it would not is looked for too, which takes some time in a large shop."""
    shop, base = gather(), asking.base_of(revision)
    fact = RevisionFact(revision.writeup.name, revision.number, on, revision.asks)  # type: ignore[arg-type]
    stage = cover.Stage(shop, rota_of(), wanted_of(), now, HORIZON)
    found = cover.cover_of(stage, fact)
    title = _titles(shop, on)
    steps = _steps_to_read(revision, base)
    asked = impact.asked_of_people(shop, fact, impact.known_on(on, now))
    return ImpactPage(
        name=revision.writeup.name, number=revision.number, title=parsed(revision.text).title or revision.writeup.title,
        asks=revision.asks, old=base.number if base else None, on=on, until=found.until,
        changes=_changes(shop, fact, now, found.until, title), people_asked=_people_asked(shop, asked, title),
        steps=str(steps), hours=_hours(impact.minutes(asked, steps)), assumed=_assumed(),
        set_aside=questions_set_aside(revision, base), has_wants=bool(stage.wanted),
        if_nobody=_spans(found.if_nobody, title, shop), if_all=_spans(found.if_all, title, shop),
        late=tuple(LateShown(_name(shop, one.person), title(one.level), day_text(one.by) if one.by else "") for one in found.late),
        earliest=cover.earliest(stage, fact, on + timedelta(days=HORIZON)) if found.if_all and seek else None, is_sought=seek,
        horizon=str(HORIZON),
    )  # fmt: skip


def in_short(revision: Revision, now: datetime) -> InShort:
    """The same in a few sentences, for a release today."""
    on = timezone.localdate(now)
    page = impact_page(revision, on=on, now=now)
    people = len({change.name for change in page.changes})
    sentences = [
        f"The standing of {_count(people, 'person', 'people')} changes if nobody does anything.",
        f"What it asks takes about {page.hours[-1][1]} of work.",
        f"{_count(len(page.set_aside), 'question rests', 'questions rest')} on steps that change.",
    ]
    if page.if_all:
        sentences.append("It breaks the cover, even if everybody does at once what is asked.")
    return InShort(tuple(sentences), reverse("training:impact", args=[page.name, page.number]))


def questions_set_aside(revision: Revision, base: Revision | None) -> tuple[SetAside, ...]:
    """The questions of the write-up that the release sets aside: those asked now that stand on a step it changes."""
    if base is None:
        return ()
    new = parsed(revision.text)
    changed, titles = steps_to_read_again(parsed(base.text), new), {step.id: step.title for step in new.steps}
    rows = QuestionVersion.objects.in_use().filter(question__writeup=revision.writeup_id).select_related("question")
    return tuple(
        SetAside(row.question.name, row.stem, ", ".join(titles.get(step, step) for step in row.steps if step in changed))
        for row in rows.order_by("question__name")
        if changed.intersection(row.steps)
    )


def rota_of() -> Rota:
    """Everybody's weekdays and absences; two queries."""
    shifts = RotaRow.objects.order_by("pk").values_list("person__login", "workshop__name", "first", "until", *DAYS)
    away = Absence.objects.order_by("pk").values_list("person__login", "first", "until")
    return Rota(
        [
            Shift(person, workshop, frozenset(number for number, works in enumerate(days) if works), first, until)
            for person, workshop, first, until, *days in shifts
        ],
        [Away(*row) for row in away],
    )


def wanted_of() -> Wanted:
    """What the owner wants, by workshop and level; one query."""
    rows = Want.objects.order_by("pk").values_list("workshop__name", "level__name", *DAYS)
    return {(workshop, level): tuple(counts) for workshop, level, *counts in rows}


def _steps_to_read(revision: Revision, base: Revision | None) -> int:
    """How many changed steps ask to be read; of a first revision all of its steps."""
    if base is None:
        return len(parsed(revision.text).steps)
    asked = asking.asked_of(revision, base)
    return sum(1 for one in asked if one.asks != "nothing" and one.change.key != HEADER)


Titles = Callable[[str], str]


def _titles(shop: Shop, on: date) -> Titles:
    return lambda level: title_of(shop, level, on)


def _name(shop: Shop, login: str) -> str:
    person = shop.files.people.get(login)
    return person.name if person else login


def _changes(shop: Shop, fact: RevisionFact, now: datetime, until: date, title: Titles) -> tuple[Change, ...]:
    rows = []
    for one in impact.touched(shop, fact, impact.known_on(fact.released, now), until):
        spans = tuple(
            (_days(span.first, span.until if span.until < until else None), span.without, span.with_it)
            for span in one.differences
        )
        rows.append(Change(_name(shop, one.person), shop.files.people[one.person].workshop, title(one.level), spans))
    return tuple(sorted(rows, key=lambda row: (row.workshop, row.level, row.name)))


def _people_asked(shop: Shop, asked: Iterable[impact.Asks], title: Titles) -> tuple[tuple[str, str], ...]:
    told = []
    for one in asked:
        what = [word for word, is_asked in (("read", one.reads), ("answer", one.answers), ("show", one.shows)) if is_asked]
        told.append((f"{_name(shop, one.person)}, {title(one.level)}, {one.standing}", ", ".join(what)))
    return tuple(told)


def _hours(found: impact.Minutes) -> tuple[tuple[str, str], ...]:
    rows = (
        ("reading again", found.reading), ("answering again", found.answering), ("showing again", found.showing),
        ("watching, for seniors", found.watching), ("all together", found.total),
    )  # fmt: skip
    return tuple((label, f"{minutes / 60:.1f} h") for label, minutes in rows)


def _assumed() -> tuple[str, ...]:
    return (
        f"{impact.READING_MINUTES_A_STEP} minutes for each changed step, read once by each person",
        f"{impact.SITTING_MINUTES} minutes for a sitting of a level’s quiz",
        f"{impact.SHOWING_MINUTES} minutes for a job that is watched, for whoever shows it and for the senior",
    )


def _spans(gaps: Iterable[Gap], title: Titles, shop: Shop) -> tuple[Short, ...]:
    """Gaps by workshop and level; neighbouring days with the same people there as one span."""
    runs: dict[tuple[str, str], list[list[Gap]]] = {}
    for gap in gaps:
        so_far = runs.setdefault((gap.workshop, gap.level), [])
        last = so_far[-1][-1] if so_far else None
        if last and (last.wanted, last.there) == (gap.wanted, gap.there) and last.day + timedelta(days=1) == gap.day:
            so_far[-1].append(gap)
        else:
            so_far.append([gap])
    return tuple(
        Short(
            workshop, title(level), _count(sum(map(len, lines)), "day", "days"), _days(lines[0][0].day, lines[-1][-1].day),
            tuple(
                GapSpan(
                    _days(run[0].day, run[-1].day), str(run[0].wanted), ", ".join(_name(shop, who) for who in run[0].there)
                )
                for run in lines
            ),
        )
        for (workshop, level), lines in runs.items()
    )  # fmt: skip


def _days(first: date, until: date | None) -> str:
    if until is None:
        return f"from {day_text(first)}"
    return day_text(first) if first == until else f"{day_text(first)} to {day_text(until)}"


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}" if number else f"No {one}"
