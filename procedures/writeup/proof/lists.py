"""Does the write-up say what it is for and what it needs: level, words, tools, consumables?"""

import re
from collections.abc import Iterator

from procedures.writeup.model import Consumable
from procedures.writeup.proof import words
from procedures.writeup.proof.counting import count_words
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.messages import each_message
from procedures.writeup.proof.reading import Part, Reading
from procedures.writeup.remarks import remark

_MEASURED = re.compile(
    r"\b(?:oil|grease|fluid|alcohol|solvent|cleaner|threadlocker|lubricant)\b", re.IGNORECASE
)
_THIN_FILM = re.compile(r"\b(?:thin|light) (?:film|coat)\b", re.IGNORECASE)
_CLASS = re.compile(
    r"\b(?:medium|high|low|removable|permanent)[- ]strength\b|\bstrength\b|\d", re.IGNORECASE
)
_AS_NEEDED = re.compile(r"\bas (?:required|needed|necessary)\b", re.IGNORECASE)
LONGEST_TITLE = 8


def tools_are_listed(reading: Reading) -> Iterator[ProofFinding]:
    """DC-02: every tool in the text stands in a tool: line; the lists before step 1 are made from
    these.
    """
    listed = [tool for part in reading.steps if part.step for tool in part.step.tools]
    # Of the whole write-up: a tool that one step lays out is at hand in the next.
    known = {
        name for name, pattern in words.TOOL.items() if any(pattern.search(tool) for tool in listed)
    }
    for part in reading.steps:
        for sentence in part.sentences:
            for name, pattern in words.TOOL.items() if words.ANY_TOOL.search(sentence.text) else ():
                if name not in known and pattern.search(sentence.text):
                    told = remark("tool-not-listed", tool=name)
                    yield finding("DC-02", part.id, sentence.line, name, told)


def consumables_have_amounts(reading: Reading) -> Iterator[ProofFinding]:
    """DC-03: oil and the like with an amount, grease with one or as a thin film, threadlocker with
    its strength.
    """
    for part in reading.steps:
        for used in part.step.uses if part.step else ():
            if _AS_NEEDED.search(used.name) or (
                _MEASURED.search(used.name)
                and used.amount is None
                and not _said_otherwise(part, used)
            ):
                told = remark("use-without-amount", name=used.name)
                yield finding("DC-03", part.id, used.line, used.name, told)


def _said_otherwise(part: Part, used: Consumable) -> bool:
    name = used.name.lower()
    if "grease" in name:
        return any(_THIN_FILM.search(sentence.text) for sentence in part.sentences) or bool(
            _THIN_FILM.search(name)
        )
    return "threadlocker" in name and bool(_CLASS.search(name))


def header_says_what_it_is(reading: Reading) -> Iterator[ProofFinding]:
    """DC-05, DC-06 and DC-07: a text above the first phase, a short title, the service level."""
    writeup = reading.writeup
    line = next(iter(writeup.lines_of("title")), 1)
    if not writeup.intro.strip():
        told = remark("no-purpose")
        yield finding("DC-05", None, line, "introduction", told)
    if writeup.title and (count := count_words(writeup.title)) > LONGEST_TITLE:
        yield finding(
            "DC-06",
            None,
            line,
            writeup.title,
            remark("title-too-long", count=count, most=LONGEST_TITLE),
        )
    if not writeup.level:
        told = remark("no-level")
        yield finding("DC-07", None, line, "level", told)


def words_are_explained(reading: Reading) -> Iterator[ProofFinding]:
    """DC-09: the introduction explains the signal words that the write-up uses."""
    used = dict.fromkeys(message.caution.word.upper() for _, message in each_message(reading))
    intro = " ".join(
        sentence.text
        for part in reading.parts
        if part.phase < 0 and part.step is None
        for sentence in part.sentences
    )
    missing = [word for word in used if not re.search(rf"\b{word}\b", intro)]
    if missing:
        said = " and ".join(missing)
        line = next(iter(reading.writeup.lines_of("title")), 1)
        told = remark("words-not-explained", words=tuple(missing))
        yield finding("DC-09", None, line, said, told)
