"""How does a question look to whoever sits it, before it is kept? And what is there to choose from
for whoever writes one?
"""

from __future__ import annotations

from random import Random

from procedures.models import Drawing, WriteUp
from procedures.records.library import library
from procedures.records.texts import rules_text
from quizzes.kinds.kind import QuestionText
from quizzes.kinds.spots import Box, drawings_of
from quizzes.models import Question, QuestionVersion
from quizzes.records.album import album
from quizzes.records.asking import text_of
from quizzes.records.sources import BesideRevision, newest_source
from quizzes.reports.showing import (
    Spot,
    heading_and_rest,
    heading_html,
    option_pictures,
    render_html,
    spot_after_the_end,
    spot_to_point_at,
    variant_words,
)
from quizzes.reports.sittings import QuestionAsked


def preview_question(question: QuestionText, writeup: WriteUp) -> QuestionAsked | None:
    """The question as its sitter sees it, in one of its orders; None where it cannot be asked. Four
    queries.
    """
    source, rules, asked = newest_source(writeup), rules_text(), question.asked
    pictures = album(drawings_of(f"{question.stem}\n{question.says}", asked))
    if source is None or source.faults(
        asked, question.steps, rules, pictures, mirror=question.mirror
    ):
        return None
    # Nothing secret is drawn: one and the same order at each look.
    shown = asked.drawn(BesideRevision(source, rules, pictures), Random(1))  # noqa: S311
    asks, rest = heading_and_rest(question.stem)
    return QuestionAsked(
        pk=0,
        title=writeup.title,
        place=1,
        total=1,
        answered=0,
        field=asked.field,
        template=asked.template,
        heading=heading_html(asks, pictures, uid="preview-asks"),
        stem=render_html(rest, pictures, uid="preview"),
        variant=variant_words(asked.fork()),
        order=tuple(shown["order"]),
        labels=asked.labels(shown),
        given=None,
        partners=asked.partners_shown(shown),
        pictures=option_pictures(asked, shown, pictures, "preview"),
        spot=spot_to_point_at(asked, pictures, mirrored=False, given=None, uid="preview"),
        ends_at=None,
    )


def spot_to_mark(question: QuestionText | None) -> Spot | None:
    """The drawing to point at with the regions that are right, for its author."""
    if question is None:
        return None
    pictures = album(question.asked.drawings())
    return spot_after_the_end(question.asked, pictures, mirrored=False, given=None, uid="author")


def plain_spot(drawing: str) -> Spot | None:
    """A drawing on which nothing is marked yet, by its name."""
    pictures = album([drawing])
    box = pictures.box(drawing)
    if box is None:
        return None
    return Spot(pictures.svg(drawing, uid="author"), box, mirrored=False, cells=())


def box_of(drawing: str) -> Box | None:
    """The size of a drawing; None where there is none of this name."""
    return album([drawing]).box(drawing) if drawing else None


def list_drawings() -> tuple[tuple[str, str], ...]:
    """Every drawing of the library and of the shop, by its name, with its title."""
    own = Drawing.objects.values_list("name", "title")
    every = {name: entry.title for name, entry in library().items()} | dict(own)
    return tuple(sorted(every.items(), key=lambda one: one[1].casefold()))


def newest_text(question: Question) -> tuple[QuestionText, int] | None:
    """The newest version of a question as a text, with its number."""
    version = (
        QuestionVersion.objects.newest()
        .filter(question=question)
        .select_related("question")
        .first()
    )
    return None if version is None else (text_of(version, question.writeup.name), version.number)


def list_names(writeup: WriteUp) -> tuple[str, ...]:
    """The names of all questions of a write-up."""
    return tuple(Question.objects.filter(writeup=writeup).values_list("name", flat=True))
