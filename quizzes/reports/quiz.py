"""What does a quiz draw from, and what of its write-ups does nothing cover?"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from quizzes.asking import askable, candidate
from quizzes.marking.coverage import Gap
from quizzes.marking.draws import PHASE, STEP
from quizzes.models import Quiz
from quizzes.reports.coverage import gaps_of
from quizzes.sources import current_sources, rules_text


@dataclass(frozen=True, slots=True)
class Part:
    """A phase or a step that questions stand on, how many there are, and how many of them are to come at least."""

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
    gaps: tuple[Gap, ...]


@dataclass(frozen=True, slots=True)
class QuizPage:
    """One quiz with what it can draw from."""

    name: str
    title: str
    parts: tuple[Part, ...]
    writeups: tuple[Covered, ...]


def quiz_page(quiz: Quiz, *, today: date) -> QuizPage:
    """The quiz with every phase and step that a question stands on; seven queries."""
    titles = dict(quiz.writeups.values_list("pk", "title"))
    sources = current_sources(titles, today)
    asked = askable(sources, rules_text())
    wanted = {(one.writeup, one.part, one.name): one.count for one in quiz.draw_rules().parts}
    parts: list[Part] = []
    covered: list[Covered] = []
    for pk, source in sorted(sources.items(), key=lambda one: titles[one[0]]):
        mine = [version for version in asked if version.question.writeup_id == pk]
        seen = [candidate(version, source) for version in mine]
        phases = Counter(phase for one in seen for phase in one.phases)
        steps = Counter(step for one in seen for step in one.steps)
        listed = [(PHASE, phase.title, phase.title) for phase in source.writeup.phases if phases[phase.title]]
        listed += [(STEP, step.id, step.title) for step in source.writeup.steps if steps[step.id]]
        for part, name, label in listed:
            many = (phases if part == PHASE else steps)[name]
            count = wanted.pop((source.name, part, name), 0)
            parts.append(Part(source.name, part, name, f"{titles[pk]}: {part}s", label, many, count))
        covered.append(
            Covered(source.name, titles[pk], len(mine), sum(one.critical for one in mine), gaps_of(source, mine))
        )
    # A rule whose phase or step is gone stays to be seen, and can be taken out.
    parts += [
        Part(writeup, part, name, "No longer there", f"{part} “{name}” of {writeup}", 0, count)
        for (writeup, part, name), count in wanted.items()
    ]
    return QuizPage(quiz.name, quiz.title, tuple(parts), tuple(covered))
