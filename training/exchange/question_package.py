"""How do questions go to another program and come from one, as items of QTI 3.0.1?"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.models import WriteUp
from procedures.records.refused import Refused
from quizzes.access import acts
from quizzes.actions.questions import bring_questions, question_faults
from quizzes.kinds.kind import QuestionText
from quizzes.kinds.spots import Box, drawings_of
from quizzes.marking.qti.package import Packed, pack, unpack
from quizzes.marking.qti.reading import ItemRead, NotRead, read_item
from quizzes.marking.qti.writing import NotWritten, Picture, write_item
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.marking.writing import write_entries
from quizzes.models import QuestionVersion
from quizzes.records.album import album, fetch_drawings
from quizzes.records.asking import text_of
from quizzes.records.sources import current_sources
from quizzes.records.wording.say import say
from training.models import User

CAME, SAME, LEFT_OUT = "came in", "same", "left out"


@dataclass(frozen=True, slots=True)
class Became:
    """What became of one question or item, and why; `where` is its file in the package."""

    where: str
    question: str
    became: str
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ItemAsked:
    """One item that could be read, as a question of a write-up."""

    where: str
    text: QuestionText
    notes: tuple[str, ...]


def write_package(names: Collection[str], on: date) -> tuple[bytes, tuple[Became, ...]]:
    """The questions in use of these write-ups (all, where none is named) as a package, and a line
    for each. Raises Refused for a write-up that there is not.
    """
    writeups = WriteUp.objects.filter(name__in=names) if names else WriteUp.objects.all()
    found = {row.pk: row.name for row in writeups}
    if missing := sorted(set(names) - set(found.values())):
        raise Refused(gettext("There is no write-up “{name}”.").format(name=missing[0]))
    sources = current_sources(found, on)
    versions = (
        QuestionVersion.objects.in_use()
        .filter(question__writeup__in=sources)
        .select_related("question__writeup")
        .order_by("question__writeup__name", "question__name")
    )
    items, shown, lines = {}, set[str](), []
    for version in versions:
        source = sources[version.question.writeup_id]
        text = text_of(version, source.name)
        named = drawings_of(f"{text.stem}\n{text.says}", text.asked)
        try:
            item = write_item(text, source.writeup, _pictures(named))
        except NotWritten:
            said = gettext("It does not fit the current revision, or shows a drawing that is gone.")
            lines.append(Became("", str(version.question), LEFT_OUT, (said,)))
            continue
        items[f"{source.name}.{text.name}"] = item
        shown |= set(named)
        lines.append(Became(f"items/{source.name}.{text.name}.xml", str(version.question), CAME))
    drawn = {
        name: svg.encode()
        for name, picture in fetch_drawings(shown).items()
        if (svg := getattr(picture, "svg", ""))
    }
    return pack(items, drawn), tuple(lines)


def _pictures(names: Collection[str]) -> dict[str, Picture]:
    known = album(names)
    told = fetch_drawings(names)
    return {
        name: Picture(box, getattr(told[name], "description", ""))
        for name in names
        if (box := known.box(name)) is not None
    }


@transaction.atomic
def bring_package(
    data: bytes, *, by: User, writeup: str, steps: Sequence[str], now: datetime, only_check: bool
) -> tuple[Became, ...]:
    """What became of each item: those that can come in wait until another person accepts them. An
    item that names no write-up or no step gets those that are given here. Raises Refused where the
    file is no package, or `by` may not write questions.
    """
    if against := acts.WRITE.why_not(by):
        raise Refused(against)
    try:
        packed = unpack(data)
    except NotRead as not_read:
        raise Refused(say(not_read.remark)) from not_read
    lines: list[Became] = []
    read: dict[tuple[str, str], ItemAsked] = {}
    for one in packed:
        try:
            asked = _asked(one, writeup, steps)
        except _LeftOut as left_out:
            lines.append(Became(one.where, left_out.question, LEFT_OUT, left_out.said))
            continue
        key = (asked.text.writeup, asked.text.name)
        if key in read:
            said = gettext("Another item of the file has this name.")
            lines.append(Became(one.where, asked.text.name, LEFT_OUT, (said,)))
            continue
        read[key] = asked
    for name in dict.fromkeys(of for of, _ in read):
        these = [one for (of, _), one in read.items() if of == name]
        lines += _bring(name, these, by, now, only_check=only_check)
    order = {one.where: at for at, one in enumerate(packed)}
    return tuple(sorted(lines, key=lambda line: order.get(line.where, len(order))))


class _LeftOut(ValueError):
    def __init__(self, question: str, *said: str) -> None:
        super().__init__(*said)
        self.question, self.said = question, said


def _asked(one: Packed, writeup: str, steps: Sequence[str]) -> ItemAsked:
    """The question of an item. Raises _LeftOut."""
    if one.fault is not None:
        raise _LeftOut("", say(one.fault))
    try:
        item = read_item(one.data, _box_of)
    except NotRead as not_read:
        raise _LeftOut("", say(not_read.remark)) from not_read
    of = item.writeup or writeup
    if not of:
        raise _LeftOut(item.name, gettext("It names no write-up. Say which: --writeup NAME."))
    entry = dict(item.entry) | {"steps": item.entry["steps"] or list(steps)}
    if not entry["steps"]:
        raise _LeftOut(
            item.name, gettext("It names no step. Say which step it is about: --step ID.")
        )
    try:
        (text,) = read_questions(write_entries(of, [entry]))
    except BadQuestions as bad:
        raise _LeftOut(item.name, *(say(fault.remark) for fault in bad.faults)) from bad
    _check_drawings(item, text)
    return ItemAsked(one.where, text, tuple(say(note) for note in item.notes))


def _box_of(name: str) -> Box | None:
    return album([name]).box(name)


def _check_drawings(item: ItemRead, text: QuestionText) -> None:
    named = drawings_of(f"{text.stem}\n{text.says}", text.asked)
    known = fetch_drawings(named)
    missing = [
        gettext(
            "It shows “{name}”, and there is no such drawing. Bring in the drawing first."
        ).format(name=name)
        for name in named
        if name not in known
    ]
    if missing:
        raise _LeftOut(item.name, *missing)


def _bring(
    name: str, these: Sequence[ItemAsked], by: User, now: datetime, *, only_check: bool
) -> Iterator[Became]:
    """The lines of the questions of one write-up, and the questions themselves."""
    row = WriteUp.objects.filter(name=name).first()
    fit = []
    for one in these:
        if row is None:
            faults: tuple[str, ...] = (gettext("There is no write-up “{name}”.").format(name=name),)
        else:
            faults = question_faults(writeup=row, questions=[one.text])
        if faults:
            yield Became(one.where, one.text.name, LEFT_OUT, faults)
        else:
            fit.append(one)
    if row is None or not fit:
        return
    new = {one.text.name for one in fit} - _same_as_kept(row, fit)
    if not only_check:
        bring_questions(writeup=row, questions=[one.text for one in fit], now=now, author=by)
    for one in fit:
        became = CAME if one.text.name in new else SAME
        yield Became(one.where, one.text.name, became, one.notes)


def _same_as_kept(row: WriteUp, these: Sequence[ItemAsked]) -> set[str]:
    """Those that say what the newest version of their question says."""
    kept = {
        version.question.name: text_of(version, row.name)
        for version in QuestionVersion.objects.newest()
        .filter(question__writeup=row)
        .select_related("question")
    }
    return {
        one.text.name
        for one in these
        if one.text.name in kept and _content(kept[one.text.name]) == _content(one.text)
    }


def _content(text: QuestionText) -> tuple[object, ...]:
    return (text.stem, text.asked, text.steps, text.critical, text.says, text.mirror)
