"""Is each step one command, with its condition first and its end or result stated?"""

import re
from collections.abc import Iterator
from itertools import pairwise

from procedures.writeup.model import Step
from procedures.writeup.proof.catalogue import HINT
from procedures.writeup.proof.clauses import Commands, commands
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.reading import ITEM, NOTE, Paragraph, Part, Reading
from procedures.writeup.proof.sentences import Sentence
from procedures.writeup.remarks import Remark, remark

_OUGHT = re.compile(
    r"\b(?:should be|must be|is to be|are to be|has to be|have to be|you need to|needs to be)\b",
    re.IGNORECASE,
)
_CONDITION = re.compile(r"(?:if|when|unless|before|after)\b", re.IGNORECASE)
_LATE_CONDITION = re.compile(r"\b(?:if|when|unless)\b", re.IGNORECASE)
_COUNT = re.compile(
    r"\b(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|twelve|twenty) (?:more "
    r")?(?:times?|turns?|rounds?|strokes?|cycles?)\b|\b(?:once|twice)\b|\bto "
    r"\d|\buntil\b|\bsteps?\b.{0,200}\bto\b",
    re.IGNORECASE,
)
_TIME = re.compile(
    r"\d\s?(?:s|min|h|d|seconds?|minutes?|hours?|days?)\b|\buntil\b|\b(?:a|one|two|five|ten) "
    r"(?:second|minute|hour|day)s?\b",
    re.IGNORECASE,
)
_STEP_NUMBER = re.compile(r"\bsteps? (\d{1,6})\b", re.IGNORECASE)
_PROHIBITS = re.compile(r"\b(?:do not|don[’']t|never|avoid)\b", re.IGNORECASE)
_STATE = re.compile(r"\bmake sure (?:that|the|each|every|both|all)\b", re.IGNORECASE)
_NUMBER = re.compile(r"\d+")
_BY_HAND = re.compile(r"\b(?:by hand|finger-tight|hand-tight|until)\b", re.IGNORECASE)
REPEATS = frozenset({"repeat", "cycle", "pump"})
LOOKS = frozenset({"measure", "examine", "inspect", "verify"})
MANY_STEPS, TOO_MANY_STEPS, DEEPEST = 10, 15, 1


def list_told(part: Part) -> Iterator[tuple[Paragraph, Sentence, Commands]]:
    """The sentences of a step that are no note, each with its commands."""
    for paragraph in part.paragraphs:
        for sentence in paragraph.sentences if paragraph.kind != NOTE else ():
            yield paragraph, sentence, commands(sentence.text)


def one_action_a_step(reading: Reading) -> Iterator[ProofFinding]:
    """ST-01: one command a step, or a list item; two that happen at the same time are a hint. What
    holds only “if” does not count.
    """
    for part in reading.steps:
        main: list[tuple[Sentence, Commands]] = []
        for paragraph, sentence, given in list_told(part):
            if not given.verbs or given.forbids:
                continue
            if paragraph.kind == ITEM or given.is_branch:
                yield from _too_many(part, sentence, given)
            else:
                main.append((sentence, given))
        for sentence, given in main:
            yield from _too_many(part, sentence, given)
        for sentence, given in main[1:]:
            message = remark(
                "further-command",
                sentence=sentence.text,
                verb=given.verbs[0],
                first=main[0][0].text.rstrip("."),
            )
            yield finding("ST-01", part.id, sentence.line, sentence.text, message)


def _too_many(part: Part, sentence: Sentence, given: Commands) -> Iterator[ProofFinding]:
    if len(given.verbs) < 2 and not given.then:
        return
    if given.together and not given.then and len(given.verbs) == 2:
        message = remark("two-at-once", verbs=given.verbs)
        yield finding("ST-01", part.id, sentence.line, sentence.text, message, HINT)
        return
    message = remark(
        "several-commands", sentence=sentence.text, count=len(given.verbs), verbs=given.verbs
    )
    yield finding("ST-01", part.id, sentence.line, sentence.text, message)


def steps_are_commands(reading: Reading) -> Iterator[ProofFinding]:
    """ST-02: the first sentence of a step begins, after its condition, with a verb; no sentence
    says what should be done.
    """
    for part in reading.steps:
        for place, (_, sentence, given) in enumerate(list_told(part)):
            ought = _OUGHT.search(sentence.text)
            if ought:
                message = remark("nobody-told", found=ought.group())
                yield finding("ST-02", part.id, sentence.line, sentence.text, message)
            elif place == 0 and not given.verbs and not _without_comma(sentence):
                message = remark("step-no-command", sentence=sentence.text)
                yield finding("ST-02", part.id, sentence.line, sentence.text, message)


def _without_comma(sentence: Sentence) -> bool:
    return bool(_CONDITION.match(sentence.text)) and "," not in sentence.text


def conditions_come_first(reading: Reading) -> Iterator[ProofFinding]:
    """ST-03: “If …, do …”; “until” and “while” belong behind the verb."""
    for part in reading.steps:
        for _, sentence, given in list_told(part):
            if _without_comma(sentence) and any(
                word in sentence.text.lower().split() for word in ("the", "it", "you", "a")
            ):
                message = remark("condition-without-comma", sentence=sentence.text)
                yield finding("ST-03", part.id, sentence.line, sentence.text, message)
            late = (
                _LATE_CONDITION.search(sentence.text, 1) if given.verbs and not given.lead else None
            )
            # In “make sure that it stops when …” the condition belongs to what is made sure of.
            if late and " that " not in sentence.text[: late.start()]:
                message = remark(
                    "condition-comes-late",
                    word=late.group(),
                    first=late.group().capitalize(),
                    verb=given.verbs[0],
                )
                yield finding("ST-03", part.id, sentence.line, sentence.text, message)


def lists_are_numbered(reading: Reading) -> Iterator[ProofFinding]:
    """ST-04 and ST-10: numbered items of a step run 1, 2, 3 on one level; a choice says “one
    of”.
    """
    for part in reading.steps:
        items = [paragraph for paragraph in part.paragraphs if paragraph.kind == ITEM]
        numbers = [
            (int(found.group()), item)
            for item in items
            if item.depth <= 1 and (found := _NUMBER.match(item.mark))
        ]
        # Markdown counts by itself where each item is written “1.”.
        if {number for number, _ in numbers} != {1}:
            for place, (number, item) in enumerate(numbers, 1):
                if number != place:
                    message = remark("item-misnumbered", mark=item.mark, number=place)
                    yield finding("ST-04", part.id, item.line, item.sentences[0].text, message)
                    break
        deep = next((item for item in items if item.depth > DEEPEST), None)
        if deep:
            message = remark("list-too-deep")
            yield finding("ST-04", part.id, deep.line, deep.sentences[0].text, message)
        choice = next(
            (
                item
                for item in items[:-1]
                if item.sentences[-1].text.rstrip(".;, ").lower().endswith(" or")
            ),
            None,
        )
        if choice and not any("one of" in sentence.text.lower() for sentence in part.sentences):
            message = remark("choice-not-told")
            yield finding("ST-10", part.id, choice.line, choice.sentences[0].text, message)


def phases_are_short(reading: Reading) -> Iterator[ProofFinding]:
    """ST-05: a hint from eleven steps a phase, another from sixteen."""
    for phase in sorted({part.phase for part in reading.steps}):
        parts = list(reading.phase_parts(phase))
        steps = [part for part in parts if part.step]
        if len(steps) > MANY_STEPS:
            head = next((part for part in parts if not part.step), steps[0])
            message = (
                remark("far-too-many-steps", count=len(steps))
                if len(steps) > TOO_MANY_STEPS
                else remark("many-steps", count=len(steps))
            )
            yield finding(
                "ST-05", None, head.line, head.title or "steps before the first phase", message
            )


def steps_say_what_to_do(reading: Reading) -> Iterator[ProofFinding]:
    """ST-06 and LG-15: prohibitions in steps are hints, and so is “never”."""
    for part in reading.steps:
        for _, sentence, _ in list_told(part):
            found = _PROHIBITS.search(sentence.text)
            if found:
                word = found.group().lower()
                yield finding(
                    "ST-06",
                    part.id,
                    sentence.line,
                    sentence.text,
                    remark("prohibition", found=found.group()),
                )
                if word not in {"do not", "avoid"}:
                    yield finding(
                        "LG-15",
                        part.id,
                        sentence.line,
                        sentence.text,
                        remark("never", found=found.group()),
                    )


def results_are_stated(reading: Reading) -> Iterator[ProofFinding]:
    """ST-07, ST-08 and ST-09: a measurement, a torque, a wait and a repeat have a value, a state or
    an end.
    """
    for part in reading.steps:
        if part.step is None:
            continue
        for _, sentence, given in list_told(part):
            verbs = set() if given.forbids else set(given.verbs)
            for rule, message in _without_end(part.step, verbs, sentence.text):
                yield finding(rule, part.id, sentence.line, sentence.text, message)


def _without_end(step: Step, verbs: set[str], text: str) -> Iterator[tuple[str, Remark]]:
    """(rule, what to do) for each thing that a sentence asks without a value, a state or an end."""
    measured = bool(step.measures or step.checks)
    has_figure = bool(re.search(r"\d", text))
    if "make" in verbs and "make sure" in text.lower() and not (_STATE.search(text) or measured):
        yield ("ST-07", remark("make-sure-of-what"))
    if verbs & LOOKS and not (measured or has_figure):
        looked = sorted(verbs & LOOKS)[0]
        yield ("ST-07", remark("result-not-said", verb=looked))
    is_tight = step.torques or measured or has_figure or _BY_HAND.search(text)
    if verbs & {"tighten", "torque"} and not is_tight:
        yield "ST-07", remark("tightness-not-said")
    if "wait" in verbs and not _TIME.search(text):
        yield "ST-08", remark("wait-without-end")
    if verbs & REPEATS and not _COUNT.search(text):
        again = sorted(verbs & REPEATS)[0]
        yield ("ST-09", remark("repeat-without-end", word=again.capitalize()))


def references_lead_back(reading: Reading) -> Iterator[ProofFinding]:
    """ST-12: “step 4” only backward, one a step, and to a step that is there."""
    last = sum(1 for _ in reading.steps)
    for part in reading.steps:
        named = [
            (int(found.group(1)), sentence)
            for sentence in part.sentences
            for found in _STEP_NUMBER.finditer(sentence.text)
        ]
        for number, sentence in named:
            if not 1 <= number <= last:
                yield finding(
                    "ST-12",
                    part.id,
                    sentence.line,
                    sentence.text,
                    remark("no-such-step", number=number),
                )
            elif part.step and number >= part.step.number:
                yield finding(
                    "ST-12",
                    part.id,
                    sentence.line,
                    sentence.text,
                    remark("step-comes-later", number=number),
                )
        for (_, _), (number, sentence) in pairwise(named):
            yield finding(
                "ST-12",
                part.id,
                sentence.line,
                sentence.text,
                remark("second-reference", number=number),
            )
