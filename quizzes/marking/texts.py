"""Which questions does a YAML text hold, and where can't it be read?

One text holds the questions of one write-up. Every fault is told with the question's name and its
line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from procedures.writeup.plain_yaml import BadYaml, Limits, Mapped, Plain, read_plain
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
    """What is wrong with one question (named as far as it has a name), on which line, and what was
    expected.
    """

    question: str
    line: int
    message: str

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line else ""
        return (
            f"{where}{self.question}: {self.message}" if self.question else f"{where}{self.message}"
        )


class BadQuestions(ValueError):
    """The text can't be taken; `faults` says why, one by one."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults


def read_questions(text: str) -> tuple[QuestionText, ...]:
    """The questions of the text, in its order. Raises BadQuestions with every fault that was
    found.
    """
    try:
        whole = read_plain(text, LIMITS)
    except BadYaml as bad:
        raise BadQuestions((Fault("", bad.line, str(bad)),)) from bad
    if whole is None:
        told = "The text is empty. Begin with `writeup:` and `questions:`."
        raise BadQuestions((Fault("", 1, told),))
    faults: list[Fault] = []
    questions = tuple(_questions(whole, faults))
    if faults:
        raise BadQuestions(tuple(sorted(faults, key=lambda fault: fault.line)))
    return questions


def _questions(whole: Plain, faults: list[Fault]) -> Iterator[QuestionText]:
    if not isinstance(whole, Mapped):
        told = "Begin with `writeup:` and the write-up's name, then `questions:` and a list."
        faults.append(Fault("", 1, told))
        return
    for key in whole.values.keys() - {"writeup", "questions"}:
        told = f"`{key}` has no meaning here. Known are `writeup` and `questions`."
        faults.append(Fault("", whole.lines[key], told))
    writeup = whole.word("writeup")
    if not NAME.fullmatch(writeup):
        told = "`writeup` must be the name of a write-up, such as air-spring-service."
        faults.append(Fault("", whole.line, told))
    listed = whole.values.get("questions")
    if not isinstance(listed, list) or not listed:
        told = "`questions` must be a list with at least one question."
        faults.append(Fault("", whole.line, told))
        return
    seen: set[str] = set()
    for place, entry in enumerate(listed, start=1):
        name = f"question {place}"
        if not isinstance(entry, Mapped):
            told = "A question is a mapping with `name`, `kind`, `steps`, `stem` …"
            faults.append(Fault(name, 0, told))
            continue
        reader = _Reader(entry, entry.word("name") or name, faults)
        question = reader.question(writeup)
        if reader.name in seen:
            reader.wrong("name", "This name is taken by a question further up. Give each its own.")
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

    def wrong(self, key: str, message: str) -> None:
        self.found += 1
        self.faults.append(Fault(self.name, self.entry.lines.get(key, self.entry.line), message))

    def question(self, writeup: str) -> QuestionText | None:
        self._read_name()
        kind = KINDS.get(self.entry.word("kind"))
        if kind is None:
            self.wrong("kind", f"`kind` must be one of: {', '.join(KINDS)}.")
            return None
        for key in self.entry.values.keys() - COMMON - kind.keys:
            self.wrong(key, f"`{key}` has no meaning in a question of the kind “{kind.kind}”.")
        stem, says = self.entry.word("stem"), self.entry.word("says")
        self.steps = self._read_steps()
        critical = self.says_yes(self.entry, "critical")
        if not stem:
            self.wrong("stem", "`stem` is missing: the words of the question.")
        asked, mirror = kind.read(self), self.says_yes(self.entry, "mirror")
        if mirror and asked is not None and not drawings_of(stem, asked):
            self.wrong("mirror", "`mirror` has no meaning in a question without a drawing.")
        if self.found or asked is None:
            return None
        return QuestionText(
            writeup, self.name, stem, asked, self.steps, critical, says, self.entry.line, mirror
        )

    def says_yes(self, entry: Mapped, key: str) -> bool:
        value = entry.values.get(key, "no")
        word = value.strip().lower() if isinstance(value, str) else "?"
        if word not in YES:
            self.wrong(key, f"`{key}` must be yes or no.")
        return YES.get(word, False)

    def _read_name(self) -> None:
        name = self.entry.word("name")
        if not NAME.fullmatch(name):
            self.wrong(
                "name",
                "`name` is missing or odd. Use letters, digits and hyphens, such as ring-seated.",
            )
        if name.lower() in RESERVED:
            self.wrong(
                "name", f"“{name}” has a meaning of its own here. Give the question another name."
            )

    def _read_steps(self) -> tuple[str, ...]:
        value = self.entry.values.get("steps", [])
        listed = [value] if isinstance(value, str) else value
        if not isinstance(listed, list) or not all(isinstance(step, str) for step in listed):
            self.wrong(
                "steps",
                "`steps` must be a list of ids of steps, such as [let-air-out, check-ring].",
            )
            return ()
        steps = tuple(step.strip() for step in listed if isinstance(step, str) and step.strip())
        if not steps:
            self.wrong(
                "steps", "`steps` is missing: the ids of the steps that this question tests."
            )
        if len(set(steps)) < len(steps):
            self.wrong("steps", "A step stands under `steps` twice.")
        return steps
