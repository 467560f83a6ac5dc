"""Which questions does a YAML text hold, and where can't it be read?

One text holds the questions of one write-up. Every fault is told with the question's name and its
line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from procedures.writeup.amounts import BadAmount, read_amount
from quizzes.marking.kinds import (
    ALL,
    AMOUNT,
    MATCH,
    ONE,
    ORDER,
    POINT,
    Asked,
    ChooseAll,
    ChooseOne,
    GiveAmount,
    Option,
    PutInOrder,
    QuestionText,
)
from quizzes.marking.plain_yaml import BadYaml, Mapped, Plain, read_plain
from quizzes.marking.shapes import DRAWING, match_of, point_of
from quizzes.marking.spots import drawings_of

NAME = re.compile(r"[A-Za-z0-9_-]+")
# Words that stand in addresses beside the names of questions.
RESERVED = frozenset(
    {"edit", "new", "check", "drafts", "rules", "statistics", "coverage", "advice", "odds"}
)
COMMON = {"name", "kind", "steps", "critical", "stem", "says", "mirror"}
OWN = {
    ONE: {"options"},
    ALL: {"options"},
    ORDER: {"variant"},
    AMOUNT: {"amount"},
    MATCH: {"pairs", "spare"},
    POINT: {"drawing", "region", "regions"},
}
YES = {"yes": True, "no": False, "": False}
MOST_STEPS = 7  # the number of orders grows too fast beyond


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
        whole = read_plain(text)
    except BadYaml as bad:
        raise BadQuestions((Fault("", bad.line, str(bad)),)) from bad
    faults: list[Fault] = []
    questions = tuple(_questions(whole, faults))
    if faults:
        raise BadQuestions(tuple(sorted(faults, key=lambda fault: fault.line)))
    return questions


def _questions(whole: Plain, faults: list[Fault]) -> Iterator[QuestionText]:
    if not isinstance(whole, Mapped):
        faults.append(
            Fault(
                "",
                1,
                "Begin with `writeup:` and the write-up's name, then `questions:` and a list.",
            )
        )
        return
    faults += [
        Fault(
            "",
            whole.lines[key],
            f"`{key}` has no meaning here. Known are `writeup` and `questions`.",
        )
        for key in whole.values.keys() - {"writeup", "questions"}
    ]
    writeup = whole.word("writeup")
    if not NAME.fullmatch(writeup):
        faults.append(
            Fault(
                "",
                whole.line,
                "`writeup` must be the name of a write-up, such as air-spring-service.",
            )
        )
    listed = whole.values.get("questions")
    if not isinstance(listed, list) or not listed:
        faults.append(
            Fault("", whole.line, "`questions` must be a list with at least one question.")
        )
        return
    seen: set[str] = set()
    for place, entry in enumerate(listed, start=1):
        if not isinstance(entry, Mapped):
            faults.append(
                Fault(
                    f"question {place}",
                    0,
                    "A question is a mapping with `name`, `kind`, `steps`, `stem` …",
                )
            )
            continue
        reader = _Reader(entry, entry.word("name") or f"question {place}", faults)
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
    found: int = field(default=0)

    def wrong(self, key: str, message: str) -> None:
        self.found += 1
        self.faults.append(Fault(self.name, self.entry.lines.get(key, self.entry.line), message))

    def question(self, writeup: str) -> QuestionText | None:
        kind = self.entry.word("kind")
        if not NAME.fullmatch(self.entry.word("name")):
            self.wrong(
                "name",
                "`name` is missing or odd. Use letters, digits and hyphens, such as ring-seated.",
            )
        if self.entry.word("name").lower() in RESERVED:
            self.wrong(
                "name",
                f"“{self.entry.word('name')}” has a meaning of its own here. Give the "
                "question another name.",
            )
        if kind not in OWN:
            self.wrong("kind", f"`kind` must be one of: {', '.join(OWN)}.")
            return None
        for key in self.entry.values.keys() - COMMON - OWN[kind]:
            self.wrong(key, f"`{key}` has no meaning in a question of the kind “{kind}”.")
        stem, steps, critical = (
            self.entry.word("stem"),
            self.steps(),
            self.yes(self.entry, "critical"),
        )
        if not stem:
            self.wrong("stem", "`stem` is missing: the words of the question.")
        asked, mirror = self.asked(kind, steps), self.yes(self.entry, "mirror")
        if mirror and asked is not None and not drawings_of(stem, asked):
            self.wrong("mirror", "`mirror` has no meaning in a question without a drawing.")
        if self.found or asked is None:
            return None
        says = self.entry.word("says")
        return QuestionText(
            writeup, self.name, stem, asked, steps, critical, says, self.entry.line, mirror
        )

    def yes(self, entry: Mapped, key: str) -> bool:
        value = entry.values.get(key, "no")
        word = value.strip().lower() if isinstance(value, str) else "?"
        if word not in YES:
            self.wrong(key, f"`{key}` must be yes or no.")
        return YES.get(word, False)

    def steps(self) -> tuple[str, ...]:
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

    def asked(self, kind: str, steps: tuple[str, ...]) -> Asked | None:
        if kind == ORDER:
            return self.order(steps)
        if kind == AMOUNT:
            return self.amount()
        if kind == MATCH:
            return match_of(self.entry, self.wrong)
        if kind == POINT:
            return point_of(self.entry, self.wrong)
        options = self.options()
        right = sum(option.right for option in options)
        if kind == ONE and options and right != 1:
            self.wrong("options", f"Exactly one option must have `right: yes`; here {right} have.")
        if kind == ALL and options and right == 0:
            self.wrong("options", "At least one option must have `right: yes`.")
        return ChooseOne(options) if kind == ONE else ChooseAll(options)

    def options(self) -> tuple[Option, ...]:
        listed = self.entry.values.get("options")
        if not isinstance(listed, list) or len(listed) < 2:
            self.wrong("options", "`options` must be a list of at least two options.")
            return ()
        options = tuple(self.option(entry, place) for place, entry in enumerate(listed, start=1))
        texts = [option.text for option in options if option.text]
        if len(set(texts)) < len(texts):
            self.wrong("options", "Two options say the same.")
        return options

    def option(self, entry: Plain, place: int) -> Option:
        if not isinstance(entry, Mapped) or not entry.word("text"):
            self.wrong(
                "options", f"Option {place} needs `text`, and may have `right: yes` and `says`."
            )
            return Option("", right=False)
        for key in entry.values.keys() - {"text", "right", "says", "drawing"}:
            known = "Known are `text`, `right`, `says` and `drawing`."
            self.wrong("options", f"`{key}` has no meaning in option {place}. {known}")
        if "drawing" in entry.values and not DRAWING.fullmatch(entry.word("drawing")):
            self.wrong(
                "options",
                f"`drawing` in option {place} must be the name of a drawing, such as "
                "stack-cup-down.",
            )
        return Option(
            entry.word("text"), self.yes(entry, "right"), entry.word("says"), entry.word("drawing")
        )

    def order(self, steps: tuple[str, ...]) -> PutInOrder | None:
        variant = self.entry.values.get("variant", Mapped(0, {}, {}))
        if not isinstance(variant, Mapped) or not all(
            isinstance(option, str) for option in variant.values.values()
        ):
            self.wrong(
                "variant",
                "`variant` must name one option for every variant, such as {ring: prong}.",
            )
            return None
        if steps and not 2 <= len(steps) <= MOST_STEPS:
            self.wrong(
                "steps",
                f"A question of this kind shows 2 to {MOST_STEPS} steps; here are {len(steps)}.",
            )
        return PutInOrder(
            steps, tuple(sorted((name, variant.word(name)) for name in variant.values))
        )

    def amount(self) -> GiveAmount | None:
        text = self.entry.word("amount")
        try:
            read_amount(text)
        except BadAmount as bad:
            self.wrong("amount", f"`amount` can't be read: {bad} Write it as in 24 ± 2 N·m.")
            return None
        return GiveAmount(text)
