"""Is the language plain: short sentences, active verbs, one name for one thing, no vague amounts?"""

import re
from collections.abc import Callable, Iterator, Sequence

from procedures.writeup.model import WriteUp
from procedures.writeup.proof import lexicon
from procedures.writeup.proof.catalogue import Advice
from procedures.writeup.proof.reader import Paragraph, Sentence
from procedures.writeup.proof.steps import NOTE, is_command
from procedures.writeup.proof.words import count, grade_of

LONGEST_COMMAND, LONGEST_DESCRIPTION, LONGEST_PARAGRAPH, HARDEST = 20, 25, 6, 9
_SHORTENED = re.compile(r"\b\w+[n]['’]t\b|\b(?:it|that|you|they|there)['’](?:s|ll|re|ve)\b|\be\.g\.|\bi\.e\.|\betc\b", re.IGNORECASE)
_STRAY = re.compile(r"^(ATTENTION|IMPORTANT|BEWARE|HAZARD|ALERT|Warning|WARNING|DANGER|CAUTION|NOTICE)\b(?=\s*[:!])")
# The rule, what it finds, what to do, and whether it is for steps only.
_WORDS = (
    ("LG-08", _SHORTENED, "Write it out.", False),
    ("LG-09", lexicon.PHRASAL, "Use one plain verb.", False),
    ("LG-11", lexicon.VAGUE, "Give a number, or what can be seen or felt.", True),
    ("SM-06", lexicon.EMPTY, "Say what to do instead of how well.", True),
    ("LG-15", re.compile(r"\b(don['’]t|never)\b", re.IGNORECASE), "Write “do not”.", True),
    ("SW-01", _STRAY, "Write a safety message as !!! danger, warning, caution or notice.", False),
)
Say = Callable[[str, str, str], Advice]


def check_language(writeup: WriteUp, running: Sequence[Paragraph]) -> Iterator[Advice]:
    """Every finding about sentences and words."""
    for part in running:
        step = part.step.id if part.step else None
        for sentence in part.sentences:
            yield from _sentence(step, sentence)
        if len(part.sentences) > LONGEST_PARAGRAPH:
            first = part.sentences[0]
            yield Advice("LG-03", step, first.line, first.text, f"This paragraph has {len(part.sentences)} sentences. Part it.")
    hard = grade_of(" ".join(sentence.text for part in running for sentence in part.sentences))
    if hard is not None and hard > HARDEST:
        yield Advice("RD-01", None, 1, f"grade {hard:.1f}", "Use shorter sentences and shorter words.")


def _sentence(step: str | None, sentence: Sentence) -> Iterator[Advice]:
    text = sentence.text

    def say(rule: str, about: str, message: str) -> Advice:
        return Advice(rule, step, sentence.line, about, message)

    outer, inner = count(text)
    words = max((outer, *inner))
    if is_command(text) and words > LONGEST_COMMAND:
        yield say("LG-01", text, f"It has {words} words. Make two sentences of it.")
    elif words > LONGEST_DESCRIPTION:
        yield say("LG-02", text, f"It has {words} words. Make two sentences of it.")
    if ";" in text:
        yield say("LG-04", text, "Make two sentences of it.")
    yield from _verbs(step, text, say)
    for rule, pattern, message, in_steps_only in _WORDS:
        if (step or not in_steps_only) and (found := pattern.search(text)):
            yield say(rule, found[0], message)
    for alias, name in lexicon.ALIASES.items():
        if re.search(rf"\b{alias}\b", text, re.IGNORECASE):
            yield say("LG-10", alias, f"The shop's word is “{name}”.")


def _verbs(step: str | None, text: str, say: Say) -> Iterator[Advice]:
    passive = lexicon.MODAL.search(text) or lexicon.PASSIVE.search(text)
    if step and passive and not (passive.lastindex and passive[1].lower() in lexicon.STATES) and not _is_state(text):
        yield say("LG-06", passive[0], "Say who does it: write the command.")
    for pattern, better in lexicon.PREFERRED:
        if step and not NOTE.match(text) and (found := pattern.search(text)):
            yield say("LG-07", found[0], f"Write “{better}”.")


def _is_state(text: str) -> bool:
    """After “make sure that” a passive tells a state."""
    return bool(re.search(r"\bmake sure (?:that )?", text, re.IGNORECASE))
