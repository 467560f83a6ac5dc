"""How many school years does a reader need for a text?"""

import re
from collections.abc import Iterator, Sequence

from procedures.writeup.proof.catalogue import ERROR
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.reading import Reading
from procedures.writeup.proof.sentences import Sentence
from procedures.writeup.remarks import remark

# Flesch's samples had 100 words; of fewer the formula says little.
FEWEST_WORDS, WANTED, MOST = 100, 9, 12
_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*|\d+(?:[.,]\d+)*")
_VOWELS = re.compile(r"[aeiouyà-ü]+")


def years_of_school(*, words: int, sentences: int, syllables: int) -> float:
    """The Flesch-Kincaid formula (1975; taken up for military manuals in 1978)."""
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def ease(*, words: int, sentences: int, syllables: int) -> float:
    """The Flesch reading-ease formula (1948); 121.22 is the easiest."""
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def count_syllables(word: str) -> int:
    """The syllables of an English word by its groups of vowels, at least 1; a number is one. An
    estimate, for long texts.
    """
    lower = word.lower()
    if lower[:1].isdigit():
        return 1
    count = len(_VOWELS.findall(lower))
    # A last e is silent (“valve”), but not after an l (“cable”).
    if lower.endswith("e") and not lower.endswith(("le", "ee", "ye")) and count > 1:
        count -= 1
    if (
        # Sounded after these: “fitted”, “hoses”; silent elsewhere: “cleaned”.
        lower.endswith(("es", "ed"))
        and not lower.endswith(
            (
                "ted",
                "ded",
                "ses",
                "zes",
                "ces",
                "ges",
                "hes",
                "xes",
                "les",
                "ees",
                "ies",
                "ied",
                "eed",
            )
        )
        and count > 1
    ):
        count -= 1
    return max(1, count)


def texts_can_be_read(reading: Reading) -> Iterator[ProofFinding]:
    """RD-01: of each stretch of at least 100 words, the introduction or a phase; never of one
    sentence.
    """
    for phase in sorted({part.phase for part in reading.parts}):
        parts = list(reading.phase_parts(phase))
        sentences = [sentence for part in parts for sentence in part.sentences]
        years = years_for_text(sentences)
        if years is not None and years > WANTED:
            head = parts[0]
            told = remark("hard-to-read", years=years, wanted=WANTED)
            yield finding(
                "RD-01",
                None,
                head.line,
                head.title or "introduction",
                told,
                ERROR if years > MOST else "",
            )


def years_for_text(sentences: Sequence[Sentence]) -> float | None:
    """The years of school that a text asks for; None when it is too short to say."""
    words = [word for sentence in sentences for word in _WORD.findall(sentence.text)]
    if len(words) < FEWEST_WORDS:
        return None
    return years_of_school(
        words=len(words), sentences=len(sentences), syllables=sum(map(count_syllables, words))
    )
