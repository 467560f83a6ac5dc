"""Does each step command one action, with a result that can be seen, and name the tools that it uses?"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from procedures.writeup.model import Step, WriteUp
from procedures.writeup.proof import lexicon
from procedures.writeup.proof.catalogue import Advice
from procedures.writeup.proof.cautions import covers
from procedures.writeup.proof.reader import Paragraph, Sentence

_CONDITION = re.compile(r"^(?:if|when|before|after|until|unless|while|where|once|with|without|for|on|in|at|from|to)\b[^,]*,\s*", re.IGNORECASE)
_ADVERB = re.compile(r"^(?:then|now|again|next|slowly|gently|firmly|carefully|always|only)\s+", re.IGNORECASE)
_SPLIT = re.compile(r"\s*(?:;|,? and then|,? then|,? and|, )\s+", re.IGNORECASE)
_END = re.compile(r"\b(until|while|\d+(?:[.,]\d+)?\s*(?:times|turns?|strokes?|s|min|h|mm|mL|bar|psi|%)|once|twice|three times|each|every)\b", re.IGNORECASE)
_LATE_CONDITION = re.compile(r"\b(if|when|unless)\b", re.IGNORECASE)
_TIME = re.compile(r"\d+\s*(?:s|min|h|d|seconds?|minutes?|hours?)\b|\buntil\b|\bfor \w+ (?:seconds|minutes|hours)\b", re.IGNORECASE)
_STEP_NUMBER = re.compile(r"\bsteps? \d+(?:\.\d+)?\b", re.IGNORECASE)
NOTE = re.compile(r"^note\s*[:.]", re.IGNORECASE)


def main_clause(sentence: str) -> str:
    """The sentence without the condition and the adverbs that stand first."""
    clause = _CONDITION.sub("", sentence, count=1)
    while (shorter := _ADVERB.sub("", clause, count=1)) != clause:
        clause = shorter
    return clause


def is_command(sentence: str) -> bool:
    """Does the main clause begin with a verb in its base form, or with “do not” and the like?"""
    words = re.findall(r"[\w'’-]+", main_clause(sentence).lower())
    return bool(words) and (words[0] in lexicon.VERBS or words[:2] == ["do", "not"] or words[0] in ("never", "don't", "don’t"))


def check_steps(writeup: WriteUp, running: Sequence[Paragraph]) -> Iterator[Advice]:
    """Every finding about the steps and their fields."""
    by_step: dict[str, list[Paragraph]] = {}
    for part in running:
        if part.step is not None:
            by_step.setdefault(part.step.id, []).append(part)
    listed = {tool.lower() for step in writeup.steps for tool in step.tools}
    for step in writeup.steps:
        parts = by_step.get(step.id, [])
        yield from _commands(step, parts)
        for part in parts:
            for sentence in part.sentences:
                yield from _sentence(step, sentence)
        yield from _fields(step)
        said = [sentence for part in parts for sentence in part.sentences]
        yield from _tools(step, said, listed)
        yield from _triggers(writeup, step, said)
    yield from _whole(writeup)


def _commands(step: Step, parts: Sequence[Paragraph]) -> Iterator[Advice]:
    first = next((sentence for part in parts for sentence in part.sentences), None)
    if first is not None and not is_command(first.text) and not NOTE.match(first.text):
        yield Advice("ST-02", step.id, first.line, first.text, "Begin with what to do, such as “Turn …” or “Push …”.")


def _sentence(step: Step, sentence: Sentence) -> Iterator[Advice]:
    text = sentence.text
    if NOTE.match(text):
        if is_command(NOTE.sub("", text).strip()):
            yield Advice("LG-12", step.id, sentence.line, text, "A note informs. Make what it commands a step.")
        return
    if not is_command(text):
        return
    found = [*_form(text), *_end_of(step, text)]
    yield from (Advice(rule, step.id, sentence.line, about, message) for rule, about, message in found)


def _form(text: str) -> Iterator[tuple[str, str, str]]:
    """How a command is put: one action, its condition first, positive, without the number of a step."""
    clause = main_clause(text)
    heads = [part for part in _SPLIT.split(clause) if part and _first(part) in lexicon.VERBS]
    if len(heads) > 1 and not lexicon.SIMULTANEOUS.search(clause):
        yield "ST-01", text, "Write one action in each sentence, and one main action in each step."
    late = _LATE_CONDITION.search(text, 1)
    if late and not _CONDITION.match(text):
        yield "ST-03", text, f"Put the condition first: “{late[0].capitalize()} …, …”."
    if found := re.search(r"\b(do not|never|avoid)\b", text, re.IGNORECASE):
        yield "ST-06", found[0], "Say what to do, where that is possible."
    if found := _STEP_NUMBER.search(text):
        yield "ST-12", found[0], "Step numbers move. Name what is done there instead."


def _end_of(step: Step, text: str) -> Iterator[tuple[str, str, str]]:
    """Does a command that goes on, waits or looks say when it is done, and with which result?"""
    clause = main_clause(text)
    verb = _first(clause)
    if verb in ("repeat", "cycle", "pump") and not _END.search(text):
        yield "ST-09", text, "Say how many times, or until when."
    if verb == "wait" and not _TIME.search(text):
        yield "ST-08", text, "Say how long, or until what can be seen."
    if verb == "measure" and not (step.measures or step.checks or re.search(r"\d", text)):
        yield "ST-07", text, "Say which value to reach: a “measure:” field, or a “check:” with what happens if not."
    if clause.lower().startswith("make sure") and not re.search(r"\bthat\b|\bof\b", clause):
        yield "ST-07", text, "Say what can be seen: “Make sure that …”."


def _first(clause: str) -> str:
    found = re.match(r"[\w'’-]+", clause.lower())
    return found[0] if found else ""


def _fields(step: Step) -> Iterator[Advice]:
    for used in step.uses:
        if used.amount is None and not re.search(r"thin film|cloth|rag|towel|paper|swab|gloves|wipe|brush|tape|bag", used.name, re.IGNORECASE):
            yield Advice("DC-03", step.id, used.line, used.name, "Say how much, such as “suspension oil 1 mL”, or “thin film”.")


def _tools(step: Step, said: Sequence[Sentence], listed: set[str]) -> Iterator[Advice]:
    for sentence in said:
        text = sentence.text.lower()
        for tool in lexicon.TOOLS:
            names = lexicon.TOOL_ALIASES.get(tool, (tool,))
            if re.search(rf"\b{re.escape(tool)}s?\b", text) and not any(name in other for other in listed for name in names):
                yield Advice("DC-02", step.id, sentence.line, tool, "Name it in a “tool:” line of the step.")
                break


def _triggers(writeup: WriteUp, step: Step, said: Sequence[Sentence]) -> Iterator[Advice]:
    for about, trigger, words in lexicon.TRIGGERS:
        sentence = next((one for one in said if re.search(trigger, one.text, re.IGNORECASE)), None)
        if sentence is not None and not covers(step, writeup, words):
            yield Advice("PL-06", step.id, sentence.line, about, "Put a message about it before this action, or at the phase.")


def _whole(writeup: WriteUp) -> Iterator[Advice]:
    sizes = Counter(step.phase for step in writeup.steps)
    for phase in writeup.phases:
        if sizes[phase.title] > 10:
            yield Advice("ST-05", None, phase.line, phase.title, f"It has {sizes[phase.title]} steps. Part it.")
    if len(writeup.title.split()) > 8:
        yield Advice("DC-06", None, 1, writeup.title, "Shorten the title.")
    if not writeup.level:
        yield Advice("DC-07", None, 1, "level", "Name the service level in the header: “level: …”.")
