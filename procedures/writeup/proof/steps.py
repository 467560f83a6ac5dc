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


def told(part: Part) -> Iterator[tuple[Paragraph, Sentence, Commands]]:
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
        for paragraph, sentence, given in told(part):
            if not given.verbs or given.forbids:
                continue
            if paragraph.kind == ITEM or given.is_branch:
                yield from _too_many(part, sentence, given)
            else:
                main.append((sentence, given))
        for sentence, given in main:
            yield from _too_many(part, sentence, given)
        for sentence, given in main[1:]:
            message = (
                f"“{sentence.text}” is a further command ({given.verbs[0]}) after "
                f"“{main[0][0].text}” Give it a step of its own."
            )
            yield finding("ST-01", part.id, sentence.line, sentence.text, message)


def _too_many(part: Part, sentence: Sentence, given: Commands) -> Iterator[ProofFinding]:
    if len(given.verbs) < 2 and not given.then:
        return
    verbs = ", ".join(given.verbs)
    if given.together and not given.then and len(given.verbs) == 2:
        message = f"Two actions at once ({verbs}). Is one pair of hands enough?"
        yield finding("ST-01", part.id, sentence.line, sentence.text, message, HINT)
        return
    message = (
        f"“{sentence.text}” tells {len(given.verbs)} things ({verbs}). Make each a step; two stay "
        "together only when both hands do them at once."
    )
    yield finding("ST-01", part.id, sentence.line, sentence.text, message)


def steps_are_commands(reading: Reading) -> Iterator[ProofFinding]:
    """ST-02: the first sentence of a step begins, after its condition, with a verb; no sentence
    says what should be done.
    """
    for part in reading.steps:
        for place, (_, sentence, given) in enumerate(told(part)):
            ought = _OUGHT.search(sentence.text)
            if ought:
                message = (
                    f"“{ought.group()}” tells nobody to act. Begin with the verb: Unscrew …, Make "
                    "sure that …"
                )
                yield finding("ST-02", part.id, sentence.line, sentence.text, message)
            elif place == 0 and not given.verbs and not _without_comma(sentence):
                message = (
                    f"“{sentence.text}” is no command. Begin the step with what the hand does; "
                    "say what it is for below."
                )
                yield finding("ST-02", part.id, sentence.line, sentence.text, message)


def _without_comma(sentence: Sentence) -> bool:
    return bool(_CONDITION.match(sentence.text)) and "," not in sentence.text


def conditions_come_first(reading: Reading) -> Iterator[ProofFinding]:
    """ST-03: “If …, do …”; “until” and “while” belong behind the verb."""
    for part in reading.steps:
        for _, sentence, given in told(part):
            if _without_comma(sentence) and any(
                word in sentence.text.lower().split() for word in ("the", "it", "you", "a")
            ):
                message = f"“{sentence.text}” has no comma after its condition. Write: If …, do …"
                yield finding("ST-03", part.id, sentence.line, sentence.text, message)
            late = (
                _LATE_CONDITION.search(sentence.text, 1) if given.verbs and not given.lead else None
            )
            if late and " that " not in sentence.text[: late.start()]:
                message = (
                    f"The condition “{late.group()} …” comes after the command, when the hand has "
                    f"begun. Put it first: {late.group().capitalize()} …, {given.verbs[0]} …"
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
        if {number for number, _ in numbers} != {1}:
            for place, (number, item) in enumerate(numbers, 1):
                if number != place:
                    message = (
                        f"Item {item.mark} should carry the number {place}. Number the items 1, "
                        "2, 3 without gaps."
                    )
                    yield finding("ST-04", part.id, item.line, item.sentences[0].text, message)
                    break
        deep = next((item for item in items if item.depth > DEEPEST), None)
        if deep:
            message = (
                "A list in a list of a step is too deep to keep one’s place in. Make steps of it."
            )
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
            message = "These items are a choice. Say so above them: “Do one of these:”."
            yield finding("ST-10", part.id, choice.line, choice.sentences[0].text, message)


def phases_are_short(reading: Reading) -> Iterator[ProofFinding]:
    """ST-05: a hint from eleven steps a phase, another from sixteen."""
    for phase in sorted({part.phase for part in reading.steps}):
        parts = list(reading.phase_parts(phase))
        steps = [part for part in parts if part.step]
        if len(steps) > MANY_STEPS:
            much = (
                "far too many to keep in mind"
                if len(steps) > TOO_MANY_STEPS
                else "many to keep in mind"
            )
            head = next((part for part in parts if not part.step), steps[0])
            message = f"{len(steps)} steps in one phase are {much}. Part it in two."
            yield finding(
                "ST-05", None, head.line, head.title or "steps before the first phase", message
            )


def steps_say_what_to_do(reading: Reading) -> Iterator[ProofFinding]:
    """ST-06 and LG-15: prohibitions in steps are hints, and so is “never”."""
    for part in reading.steps:
        for _, sentence, _ in told(part):
            found = _PROHIBITS.search(sentence.text)
            if found:
                word = found.group().lower()
                yield finding(
                    "ST-06",
                    part.id,
                    sentence.line,
                    sentence.text,
                    f"“{found.group()}” leaves open what to do. Say what to do, or make it "
                    "the avoidance of a caution.",
                )
                if word not in {"do not", "avoid"}:
                    yield finding(
                        "LG-15",
                        part.id,
                        sentence.line,
                        sentence.text,
                        f"Write “do not” for “{found.group()}”.",
                    )


def results_are_stated(reading: Reading) -> Iterator[ProofFinding]:
    """ST-07, ST-08 and ST-09: a measurement, a torque, a wait and a repeat have a value, a state or
    an end.
    """
    for part in reading.steps:
        if part.step is None:
            continue
        for _, sentence, given in told(part):
            verbs = set() if given.forbids else set(given.verbs)
            for rule, message in _without_end(part.step, verbs, sentence.text):
                yield finding(rule, part.id, sentence.line, sentence.text, message)


def _without_end(step: Step, verbs: set[str], text: str) -> Iterator[tuple[str, str]]:
    """(rule, what to do) for each thing that a sentence asks without a value, a state or an end."""
    measured = bool(step.measures or step.checks)
    has_figure = bool(re.search(r"\d", text))
    if "make" in verbs and "make sure" in text.lower() and not (_STATE.search(text) or measured):
        yield (
            "ST-07",
            "Make sure of what? Write “Make sure that …”, or give the step a check: line.",
        )
    if verbs & LOOKS and not (measured or has_figure):
        looked = sorted(verbs & LOOKS)[0]
        yield (
            "ST-07",
            f"What does somebody find who has to {looked} here? Give the step a "
            "measure: or a check: line.",
        )
    is_tight = step.torques or measured or has_figure or _BY_HAND.search(text)
    if verbs & {"tighten", "torque"} and not is_tight:
        yield "ST-07", "How tight? Give the step a torque: line, or write “by hand” or “until …”."
    if "wait" in verbs and not _TIME.search(text):
        yield "ST-08", "How long? Write the time, such as [[30 s]], or “until …”."
    if verbs & REPEATS and not _COUNT.search(text):
        again = sorted(verbs & REPEATS)[0]
        yield (
            "ST-09",
            f"“{again.capitalize()}” has no end. Write how often, such as [[3 "
            "times]], or “until …”.",
        )


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
                    f"There is no step {number}. Call the step by its title.",
                )
            elif part.step and number >= part.step.number:
                yield finding(
                    "ST-12",
                    part.id,
                    sentence.line,
                    sentence.text,
                    f"Step {number} comes only later. Put here what is needed, or call the "
                    "step by its title.",
                )
        for (_, _), (number, sentence) in pairwise(named):
            yield finding(
                "ST-12",
                part.id,
                sentence.line,
                sentence.text,
                f"A second reference (step {number}) in one step makes somebody leaf to and "
                "fro. Write out what is needed.",
            )
