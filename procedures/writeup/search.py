"""Where in the shop's write-ups does somebody find these words?

The texts at hand are searched as they are, without an index beside them: a shop has dozens of
write-ups, which are parsed once, and an index could only fall out of step with them, differently on
each database.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from procedures.writeup.model import Caution, Step, WriteUp

# Each is looked for in every step, so a pasted page would hold up everybody.
MOST_WORDS = 8
AROUND = 70
WORD = re.compile(r"\w+")


@dataclass(frozen=True, slots=True)
class Hit:
    """One step (or the beginning of a write-up, with an empty `step`) that has all the words;
    `pieces` are (text, is a word sought).
    """

    name: str
    writeup: str
    step: str
    title: str
    pieces: tuple[tuple[str, bool], ...]
    rank: int


def words_of(asked: str) -> tuple[str, ...]:
    """The words to look for, in lower case, each once; at most eight."""
    return tuple(dict.fromkeys(WORD.findall(asked.casefold())))[:MOST_WORDS]


def find(asked: str, writeups: Mapping[str, WriteUp]) -> tuple[Hit, ...]:
    """The places that hold every word (or its beginning), those with the words in their title
    first; empty without words.
    """
    words = words_of(asked)
    if not words:
        return ()
    # Word by its beginning: “torqu” finds torque and torquing without a list of endings.
    sought = re.compile("|".join(rf"\b{re.escape(word)}\w*" for word in words), re.IGNORECASE)
    hits = [hit for name, writeup in writeups.items() for hit in _in(name, writeup, words, sought)]
    return tuple(sorted(hits, key=lambda hit: (-hit.rank, hit.writeup.casefold())))


def _in(
    name: str, writeup: WriteUp, words: tuple[str, ...], sought: re.Pattern[str]
) -> Iterator[Hit]:
    beginning = " ".join([writeup.intro, *map(_caution, writeup.cautions)])
    places = [
        ("", writeup.title, beginning),
        *((step.id, step.title, _text(step)) for step in writeup.steps),
    ]
    for step, title, text in places:
        begun = {
            word
            for word in words
            if re.search(rf"\b{re.escape(word)}", f"{title} {text}", re.IGNORECASE)
        }
        if len(begun) == len(words):
            in_title = sum(
                1 for word in words if re.search(rf"\b{re.escape(word)}", title, re.IGNORECASE)
            )
            yield Hit(name, writeup.title, step, title, _pieces(text, sought), in_title)


def _text(step: Step) -> str:
    parts = [
        *step.tools,
        *(used.name for used in step.uses),
        *step.takes_off,
        *step.fits,
        *step.scraps,
        *step.fits_new,
    ]
    parts += [*(target.text for target in (*step.torques, *step.measures)), step.critical]
    parts += [f"{check.look} {check.otherwise}" for check in step.checks]
    return " · ".join(part for part in [step.body, *map(_caution, step.cautions), *parts] if part)


def _caution(caution: Caution) -> str:
    return (
        f"{caution.word.upper()} {caution.title}. {caution.hazard} {caution.harm} {caution.avoid} "
        f"{caution.text}"
    ).strip()


def _pieces(text: str, sought: re.Pattern[str]) -> tuple[tuple[str, bool], ...]:
    """A piece of the text around the first word found, cut at spaces, with every word sought
    marked.
    """
    plain = " ".join(re.sub(r"[*_`#\[\]|]|-{3,}|!\[|\]\([^)]*\)", " ", text).split())
    first = sought.search(plain)
    middle = first.start() if first else 0
    start, end = max(0, middle - AROUND), middle + 2 * AROUND
    start = plain.find(" ", start) + 1 if start else 0
    end = plain.rfind(" ", start, end) if end < len(plain) else len(plain)
    shown = (
        ("… " if start else "")
        + plain[start : max(end, start)]
        + (" …" if end < len(plain) else "")
    )
    pieces, last = [], 0
    for found in sought.finditer(shown):
        pieces += [(shown[last : found.start()], False), (found[0], True)]
        last = found.end()
    return tuple(piece for piece in [*pieces, (shown[last:], False)] if piece[0])
