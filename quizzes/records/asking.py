"""Which questions can be asked today, and what is shown of one that was drawn?"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from random import Random
from typing import Any

from django.db.models import Q

from quizzes.kinds.kind import QuestionText
from quizzes.marking.draws import Candidate
from quizzes.models import Answer, Question, QuestionVersion, Quiz, RefresherAnswer, Sitting
from quizzes.records.album import Album
from quizzes.records.confirming import find_changed_since
from quizzes.records.sources import BesideRevision, Source, pictures_of


def list_askable(
    sources: Mapping[int, Source], rules: str, questions: Collection[int] | None = None
) -> list[QuestionVersion]:
    """The version in use of every question that fits the current revision of its write-up and is
    not set aside, in a fixed order; of some questions (keys) or of all. Four queries.
    """
    newest = (
        QuestionVersion.objects.in_use()
        .filter(question__writeup__in=sources)
        .select_related("question__writeup")
    )
    if questions is not None:
        newest = newest.filter(question__in=questions)
    versions = list(newest.order_by("question__writeup__name", "question__name"))
    aside = find_changed_since(versions, sources)
    pictures = pictures_of(versions)
    return [
        version
        for version in versions
        if version.pk not in aside
        and not sources[version.question.writeup_id].faults(
            version.content(), version.steps, rules, pictures, mirror=version.mirror
        )
    ]


def count_met(quiz: Quiz, person: Any) -> frozenset[str]:
    """Every question on the quiz's write-ups that somebody (key) was shown before, as “write-up:
    question”: in a sitting of whichever quiz, in a practice round, and in a sitting that went
    because it was outdated. Four queries.
    """
    writeups = dict(quiz.writeups.values_list("pk", "name"))
    sat = Answer.objects.filter(sitting__person=person, version__question__writeup__in=writeups)
    practised = RefresherAnswer.objects.filter(
        round__person=person, version__question__writeup__in=writeups
    )
    shown_to = Q(pk__in=sat.values("version__question")) | Q(
        pk__in=practised.values("version__question")
    )
    names = {
        str(question) for question in Question.objects.filter(shown_to).select_related("writeup")
    }
    earlier = Sitting.objects.filter(person=person, drawn_by__isnull=False).values_list(
        "drawn_by", flat=True
    )
    # A sitting that went because it was outdated left no answers; its successor names what was met.
    kept = {
        name
        for drawn_by in earlier
        for name in (drawn_by or {}).get("met", ())
        if name.partition(": ")[0] in writeups.values()
    }
    return frozenset(names | kept)


def text_of(version: QuestionVersion, writeup: str) -> QuestionText:
    """This version as an author would write it, on the write-up of this name."""
    return QuestionText(
        writeup,
        version.question.name,
        version.stem,
        version.content(),
        tuple(version.steps),
        version.critical,
        version.says,
        mirror=version.mirror,
    )


def candidate(version: QuestionVersion, source: Source) -> Candidate:
    """This version as the draw sees it."""
    steps = frozenset(version.steps)
    phases = frozenset(step.phase for step in source.writeup.steps if step.id in steps)
    return Candidate(version.pk, source.name, version.critical, steps, phases)


def show_question(
    version: QuestionVersion, source: Source, rules: str, pictures: Album, chance: Random
) -> dict[str, Any]:
    """What the sitter is shown of this question, beside its words: the order, whether its drawings
    are mirrored, and which revision stands behind it.
    """
    asked, beside = version.content(), BesideRevision(source, rules, pictures)
    kept: dict[str, Any] = {"revision": source.number} | asked.drawn(beside, chance)
    if version.mirror:
        # Drawn even where it may not be mirrored, so that the draws after it stay the same.
        wanted = chance.random() < 0.5  # in half of the sittings
        kept["mirrored"] = wanted and asked.may_mirror(beside)
    return kept
