"""Which questions does a YAML text hold, and where can't it be read?

One text holds the questions of one write-up. Every fault is told with the question's name and its
line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from procedures.writeup.plain_yaml import BadYaml, Limits, Mapped, Plain, read_plain
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.kind import QuestionText
from quizzes.kinds.registry import KINDS
from quizzes.kinds.spots import drawings_of

LIMITS = Limits(500_000, 8)  # far above a bank of a thousand questions
NAME = re.compile(r"[A-Za-z0-9_-]+")
# Words that stand in addresses beside the names of questions.
RESERVED = frozenset(
    {"edit", "new", "check", "drafts", "rules", "statistics", "coverage", "advice", "odds"}
)
COMMON = {"name", "kind", "steps", "critical", "stem", "says", "mirror"}
YES = {"yes": True, "no": False, "": False}


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with one question (named as far as it has a name), and on which line (0: not
    known).
    """

    question: str
    line: int
    remark: Remark


class BadQuestions(ValueError):
    """The text can't be taken; `faults` says why, one by one."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__(faults)
        self.faults = faults


def read_questions(text: str) -> tuple[QuestionText, ...]:
    """The questions of the text, in its order. Raises BadQuestions with every fault that was
    found.
    """
    try:
        whole = read_plain(text, LIMITS)
    except BadYaml as bad:
        raise BadQuestions((Fault("", bad.line, bad.remark),)) from bad
    if whole is None:
        told = remark("questions-empty")
        raise BadQuestions((Fault("", 1, told),))
    faults: list[Fault] = []
    questions = tuple(_questions(whole, faults))
    if faults:
        raise BadQuestions(tuple(sorted(faults, key=lambda fault: fault.line)))
    return questions


def _questions(whole: Plain, faults: list[Fault]) -> Iterator[QuestionText]:
    if not isinstance(whole, Mapped):
        told = remark("questions-no-mapping")
        faults.append(Fault("", 1, told))
        return
    # An unknown key is most often a known one mistyped, and would be left out in silence.
    for key in whole.values.keys() - {"writeup", "questions"}:
        told = remark("unknown-key-of-text", key=key)
        faults.append(Fault("", whole.lines[key], told))
    writeup = whole.word("writeup")
    if not NAME.fullmatch(writeup):
        told = remark("bad-writeup-name")
        faults.append(Fault("", whole.line, told))
    listed = whole.values.get("questions")
    if not isinstance(listed, list) or not listed:
        told = remark("questions-no-list")
        faults.append(Fault("", whole.line, told))
        return
    seen: set[str] = set()
    for place, entry in enumerate(listed, start=1):
        name = f"question {place}"
        if not isinstance(entry, Mapped):
            told = remark("question-no-mapping")
            faults.append(Fault(name, 0, told))
            continue
        reader = _Reader(entry, entry.word("name") or name, faults)
        question = reader.question(writeup)
        if reader.name in seen:
            reader.wrong("name", remark("question-name-taken"))
        seen.add(reader.name)
        if question is not None:
            yield question


@dataclass(slots=True)
class _Reader:
    """Reads one question and notes its faults."""

    entry: Mapped
    name: str
    faults: list[Fault]
    steps: tuple[str, ...] = ()
    found: int = field(default=0)

    def wrong(self, key: str, said: Remark) -> None:
        self.found += 1
        self.faults.append(Fault(self.name, self.entry.lines.get(key, self.entry.line), said))

    def question(self, writeup: str) -> QuestionText | None:
        self._read_name()
        kind = KINDS.get(self.entry.word("kind"))
        if kind is None:
            self.wrong("kind", remark("unknown-kind", known=tuple(KINDS)))
            return None
        for key in self.entry.values.keys() - COMMON - kind.keys:
            self.wrong(key, remark("unknown-key-of-kind", key=key, kind=kind.kind))
        stem, says = self.entry.word("stem"), self.entry.word("says")
        self.steps = self._read_steps()
        critical = self.says_yes(self.entry, "critical")
        if not stem:
            self.wrong("stem", remark("stem-missing"))
        asked, mirror = kind.read(self), self.says_yes(self.entry, "mirror")
        if mirror and asked is not None and not drawings_of(stem, asked):
            self.wrong("mirror", remark("mirror-without-drawing"))
        if self.found or asked is None:
            return None
        return QuestionText(
            writeup, self.name, stem, asked, self.steps, critical, says, self.entry.line, mirror
        )

    def says_yes(self, entry: Mapped, key: str) -> bool:
        value = entry.values.get(key, "no")
        word = value.strip().lower() if isinstance(value, str) else "?"
        if word not in YES:
            self.wrong(key, remark("not-yes-or-no", key=key))
        return YES.get(word, False)

    def _read_name(self) -> None:
        name = self.entry.word("name")
        if not NAME.fullmatch(name):
            self.wrong("name", remark("bad-question-name"))
        if name.lower() in RESERVED:
            self.wrong("name", remark("reserved-name", name=name))

    def _read_steps(self) -> tuple[str, ...]:
        value = self.entry.values.get("steps", [])
        listed = [value] if isinstance(value, str) else value
        if not isinstance(listed, list) or not all(isinstance(step, str) for step in listed):
            self.wrong("steps", remark("steps-no-list"))
            return ()
        steps = tuple(step.strip() for step in listed if isinstance(step, str) and step.strip())
        if not steps:
            self.wrong("steps", remark("steps-missing"))
        if len(set(steps)) < len(steps):
            self.wrong("steps", remark("step-twice"))
        return steps
