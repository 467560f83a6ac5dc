"""What do the ended sittings of a quiz say about each of its questions?

An item is one version of one question: a question that was reworded begins anew. Sittings draw, so
that not everybody is asked everything; a question's figures stand on those who were asked it, and
what a whole test needs (alpha, difficulties) stands on the questions that came in every sitting.
Only sittings of the most usual number of questions are counted, so that their scores mean the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import BooleanField, ExpressionWrapper, Q, TextField
from django.db.models.functions import Cast

from quizzes.models import Answer, QuestionVersion, Quiz
from quizzes.psychometrics.items import Group, ItemFigures, group_people, item_figures
from quizzes.psychometrics.rasch import Difficulty, difficulties
from quizzes.psychometrics.reliability import Whole, whole_figures
from quizzes.psychometrics.responses import Counts
from quizzes.reports.showing import first_line

ENOUGH = 20  # sittings, before anything is said of a question or of the whole
ENOUGH_FOR_RASCH = 30  # difficulties are then known to about ± 1 logit (common practice, no source)
RIGHT_ONLY = ("right",)


@dataclass(frozen=True, slots=True)
class QuestionFigures:
    """One question in the version that was asked last, with the first line of its stem as its
    title. `figures` is None while too few were asked; `difficulty` likewise.
    """

    writeup: str
    name: str
    title: str
    version: int
    kind: str
    critical: bool
    asked: int
    right: int
    figures: ItemFigures | None
    groups: tuple[Group, ...]
    difficulty: Difficulty | None


@dataclass(frozen=True, slots=True)
class QuizFigures:
    """The figures of one quiz: sittings that ended, those counted with their number of questions,
    and the questions that all of these had. `whole` is None while too few are counted.
    """

    name: str
    title: str
    sittings: int
    counted: int
    size: int
    common: int
    whole: Whole | None
    questions: tuple[QuestionFigures, ...]


def quiz_figures(quiz: Quiz) -> QuizFigures:
    """The figures of a quiz, from its ended sittings; two queries."""
    rows = _answers(quiz)
    lengths = Counter(row[0] for row in rows)
    sizes = Counter(lengths.values())
    size = max(sizes, key=lambda size: (sizes[size], size), default=0)
    kept = [row for row in rows if lengths[row[0]] == size]
    versions = _versions({row[1] for row in kept})
    counts = _counted(kept, versions, size)
    asked = (
        {place: int(counts.by_score(place).sum()) for place in range(len(versions))}
        if counts
        else {}
    )
    common = [place for place, many in asked.items() if many == sizes[size]]
    core = _core(kept, [versions[place] for place in common]) if len(common) > 1 else None
    hard = difficulties(core) if core and sizes[size] >= ENOUGH_FOR_RASCH else ()
    return QuizFigures(
        name=quiz.name,
        title=quiz.title,
        sittings=sum(sizes.values()),
        counted=sizes[size],
        size=size,
        common=len(common),
        whole=whole_figures(core) if core and sizes[size] >= ENOUGH else None,
        questions=_questions(counts, versions, asked, dict(zip(common, hard, strict=False))),
    )


# sitting, version, wholly right, what was given as JSON text
Row = tuple[int, int, bool, str | None]


def _answers(quiz: Quiz) -> list[Row]:
    # Of a sitting that was ended early no answer is marked, and nothing is learned about its
    # questions. A second try is asked only of those who were wrong: it tells of them, not of the
    # question.
    ended = Answer.objects.filter(
        sitting__quiz=quiz,
        sitting__recorded_at__isnull=False,
        marks__isnull=False,
        second_to__isnull=True,
    )
    right = ExpressionWrapper(Q(marks=1), output_field=BooleanField())
    return list(
        ended.annotate(all_right=right, text=Cast("given", TextField())).values_list(
            "sitting_id", "version_id", "all_right", "text"
        )
    )


def _versions(keys: Iterable[int]) -> list[QuestionVersion]:
    found = QuestionVersion.objects.filter(pk__in=keys).select_related("question__writeup")
    return list(found.order_by("question__writeup__title", "question__name", "number"))


def _options(version: QuestionVersion) -> tuple[str, ...]:
    """The options where one is chosen; for other kinds only whether the answer is wholly right."""
    asked = version.content()
    if asked.the_right_one() is None:
        return RIGHT_ONLY
    return tuple(option.text for option in asked.on_offer())


def _right(version: QuestionVersion) -> int:
    right = version.content().the_right_one()
    return 1 if right is None else right + 1


def _counted(rows: Sequence[Row], versions: Sequence[QuestionVersion], size: int) -> Counts | None:
    """How often each option of each version was chosen, by the number of right answers in the
    sitting; None for nothing.
    """
    if not rows:
        return None
    import numpy as np

    options = [_options(version) for version in versions]
    places = {version.pk: place for place, version in enumerate(versions)}
    by_choice = {
        place
        for place, version in enumerate(versions)
        if version.content().the_right_one() is not None
    }
    scores = Counter(sitting for sitting, _, is_right, _ in rows if is_right)
    table = np.zeros((len(versions), 1 + max(map(len, options)), size + 1), dtype=np.int64)
    # Counted first: thousands of answers are few different ones, and a table of numpy is slow to
    # reach one number at a time.
    alike = Counter(
        (version, is_right, given, scores[sitting]) for sitting, version, is_right, given in rows
    )
    for (version, is_right, given, score), many in alike.items():
        place = places[version]
        code = (
            int(bool(is_right))
            if place not in by_choice
            else 0
            if given in (None, "null")
            else int(given or 0) + 1
        )
        table[place, code, score] += many
    names = tuple(f"{version.question}, version {version.number}" for version in versions)
    return Counts(names, tuple(options), tuple(_right(version) for version in versions), table)


def _core(rows: Sequence[Row], versions: Sequence[QuestionVersion]) -> Counts | None:
    """The count of right and wrong at the questions that everybody had, by the score in these
    alone.
    """
    import numpy as np

    places = {version.pk: place for place, version in enumerate(versions)}
    sittings = {sitting: row for row, sitting in enumerate(dict.fromkeys(row[0] for row in rows))}
    codes = np.zeros((len(sittings), len(places)), dtype=np.uint8)
    right = [
        (sittings[sitting], places[version])
        for sitting, version, is_right, _ in rows
        if is_right and version in places
    ]
    if right:
        codes[tuple(zip(*right, strict=True))] = 1
    from quizzes.psychometrics.responses import count_codes

    names = [str(version.pk) for version in versions]
    return count_codes(names, [RIGHT_ONLY] * len(names), [1] * len(names), codes)


def _questions(
    counts: Counts | None,
    versions: Sequence[QuestionVersion],
    asked: dict[int, int],
    hard: dict[int, Difficulty],
) -> tuple[QuestionFigures, ...]:
    """The newest version of each question that was asked."""
    if counts is None:
        return ()
    figures = item_figures(counts)
    right = counts.right_by_score().sum(axis=1).tolist()
    newest = {version.question_id: place for place, version in enumerate(versions)}
    return tuple(
        QuestionFigures(
            writeup=versions[place].question.writeup.name,
            name=versions[place].question.name,
            title=first_line(versions[place].stem),
            version=versions[place].number,
            kind=versions[place].kind,
            critical=versions[place].critical,
            asked=asked[place],
            right=right[place],
            figures=figures[place] if asked[place] >= ENOUGH else None,
            groups=group_people(counts, place)
            if asked[place] >= ENOUGH and len(counts.options[place]) > 1
            else (),
            difficulty=hard.get(place),
        )
        for place in newest.values()
    )
