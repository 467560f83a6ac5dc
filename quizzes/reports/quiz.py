"""What does a quiz draw from, and what of its write-ups does nothing cover?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.records.texts import rules_text
from quizzes.marking.draws import PHASE, STEP
from quizzes.models import QuestionVersion, Quiz, QuizRules
from quizzes.records.asking import candidate, list_askable
from quizzes.records.sources import Source, current_sources
from quizzes.reports.coverage import GapTold, gaps_of

LABELS = {
    "writeups": _("Write-ups"),
    "size": _("Questions, at least"),
    "critical_percent": _("How many of the critical questions, in %"),
    "parts": _("Questions from each part, at least"),
    "minutes": _("Time for a sitting in minutes"),
    "wait_days": _("Days to wait after a quiz that was not passed"),
    "sittings_a_day": _("Sittings a day"),
    "recall_percent": _("Chance wanted of still knowing a step, in %"),
}
HEADINGS = {PHASE: _("{title}: phases"), STEP: _("{title}: steps")}


@dataclass(frozen=True, slots=True)
class PartOfBank:
    """A phase or a step that questions stand on, how many there are, and how many of them are to
    come at least.
    """

    writeup: str
    part: str
    name: str
    heading: str
    label: str
    there: int
    count: int


@dataclass(frozen=True, slots=True)
class Covered:
    """One write-up of the quiz: how many questions are asked on it, and its gaps."""

    name: str
    title: str
    questions: int
    critical: int
    gaps: tuple[GapTold, ...]


@dataclass(frozen=True, slots=True)
class Version:
    """One version of the rules: when it was written and by whom, and what it changed, as (what,
    from, to).
    """

    at: datetime
    by: str
    changes: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class QuizPage:
    """One quiz with what it can draw from, and its rules from the first version on, the newest
    first.
    """

    name: str
    title: str
    parts: tuple[PartOfBank, ...]
    writeups: tuple[Covered, ...]
    versions: tuple[Version, ...]
    has_no_wait: bool


def quiz_page(quiz: Quiz, *, today: date) -> QuizPage:
    """The quiz with every phase and step that a question stands on; nine queries."""
    titles = dict(quiz.writeups.values_list("pk", "title"))
    sources = current_sources(titles, today)
    asked = list_askable(sources, rules_text())
    wanted = {(one.writeup, one.part, one.name): one.count for one in quiz.rules.draw_rules().parts}
    parts: list[PartOfBank] = []
    covered: list[Covered] = []
    for pk, source in sorted(sources.items(), key=lambda one: titles[one[0]]):
        mine = [version for version in asked if version.question.writeup_id == pk]
        for part, name, label, many in _parts_of(source, mine):
            count = wanted.pop((source.name, part, name), 0)
            heading = str(HEADINGS[part]).format(title=titles[pk])
            parts.append(PartOfBank(source.name, part, name, heading, label, many, count))
        critical = sum(one.critical for one in mine)
        covered.append(Covered(source.name, titles[pk], len(mine), critical, gaps_of(source, mine)))
    # A rule whose phase or step is gone stays to be seen, and can be taken out.
    parts += [
        PartOfBank(
            writeup, part, name, gettext("No longer there"), f"{writeup}: “{name}”", 0, count
        )
        for (writeup, part, name), count in wanted.items()
    ]
    return QuizPage(
        quiz.name,
        quiz.title,
        tuple(parts),
        tuple(covered),
        versions=_versions(quiz),
        has_no_wait=not quiz.rules.wait_days,
    )


def _parts_of(
    source: Source, versions: Sequence[QuestionVersion]
) -> Iterator[tuple[str, str, str, int]]:
    """Every phase and step on which one of these questions stands: which of the two it is, its name
    and its words, and how many do.
    """
    seen = [candidate(version, source) for version in versions]
    phases = Counter(phase for one in seen for phase in one.phases)
    steps = Counter(step for one in seen for step in one.steps)
    # By title, as steps know their phase: two phases of one title are one part of the draw.
    for title in dict.fromkeys(phase.title for phase in source.writeup.phases):
        if phases[title]:
            yield PHASE, title, title, phases[title]
    for step in source.writeup.steps:
        if steps[step.id]:
            yield STEP, step.id, step.title, steps[step.id]


def _versions(quiz: Quiz) -> tuple[Version, ...]:
    rows = list(quiz.versions.select_related("by").order_by("pk"))
    found = [
        Version(row.recorded_at, str(row.by) if row.by else "", tuple(_changes(before, row)))
        for before, row in zip([None, *rows], rows, strict=False)
    ]
    return tuple(reversed(found))


def _changes(before: QuizRules | None, row: QuizRules) -> Iterator[tuple[str, str, str]]:
    """What a version says that the one before it did not; of the first one all that it says."""
    for field, label in LABELS.items():
        was, now = "" if before is None else _said(before, field), _said(row, field)
        if was != now:
            yield str(label), was, now


def _said(rules: QuizRules, field: str) -> str:
    value = getattr(rules, field)
    if field == "parts":
        return (
            "; ".join(
                f"{part['count']} × {part['writeup']}, {part['part']} “{part['name']}”"
                for part in value
            )
            or "–"
        )
    return ", ".join(value) or "–" if field == "writeups" else str(value)
