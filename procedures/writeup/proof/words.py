"""How many words and sentences has a text, and how hard is it to read?

The counting rules are those of STE 8.4 to 8.7: a number with its unit, quoted text, and what stands in parentheses are
one word each; what stands in parentheses counts again as a sentence of its own; a hyphenated word is one word.
"""

import re

UNIT = r"(?:N·m|N⋅m|Nm|in[·-]lbf|ft[·-]lbf|kgf·cm|bar|psi|kPa|MPa|mL|ml|L|cm³|mm|cm|m|in|g|kg|s|min|h|d|°C|°F|K|%|turns?|clicks?|times)"
NUMBER = r"\d[\d.,]*"
_AMOUNT = re.compile(rf"{NUMBER}(?:\s*(?:±|\.\.|–|-|to)\s*{NUMBER})?(?:\s*{UNIT}(?![\w·]))?(?:\s*±\s*{NUMBER}\s*%)?")
_PARENTHESES = re.compile(r"\(([^()]*)\)")
_QUOTED = re.compile(r"[“\"][^”\"]*[”\"]")
_END = re.compile(r"(?<=[.!?])[”\"')]?\s+(?=[A-Z“\"(\d])|(?<=:)\s*$")
_SYLLABLE = re.compile(r"[aeiouy]+")
_WORD = re.compile(r"[^\W\d_]+(?:[-'’][^\W\d_]+)*")


def count(sentence: str) -> tuple[int, tuple[int, ...]]:
    """The words of a sentence, and those of each of its parentheses, which in the sentence count as one word each."""
    inner = tuple(_plain_count(found) for found in _PARENTHESES.findall(sentence))
    return _plain_count(_PARENTHESES.sub(" word ", sentence)), inner


def _plain_count(text: str) -> int:
    text = _QUOTED.sub(" word ", text)
    text = _AMOUNT.sub(" 1 ", text)
    return sum(1 for word in text.split() if any(letter.isalnum() for letter in word))


def sentences(text: str) -> list[str]:
    """The sentences of a paragraph; an end is a mark of end before a capital, a quotation or a number."""
    return [part.strip() for part in _END.split(text) if part and part.strip()]


def syllables(word: str) -> int:
    """The syllables of an English word, by its groups of vowels; a silent e at the end does not count. At least one."""
    word = word.lower()
    groups = len(_SYLLABLE.findall(word))
    if word.endswith("e") and not word.endswith(("le", "ee", "ye")) and groups > 1:
        groups -= 1
    return max(1, groups)


def grade(words: int, sentence_count: int, syllable_count: int) -> float:
    """The Flesch-Kincaid reading grade: 0.39 words per sentence + 11.8 syllables per word - 15.59."""
    return 0.39 * words / sentence_count + 11.8 * syllable_count / words - 15.59


def grade_of(text: str) -> float | None:
    """The reading grade of a text of at least 100 words, None for a shorter one; numbers with units count one syllable."""
    text = _AMOUNT.sub(" one ", text)
    found = _WORD.findall(text)
    if len(found) < 100:
        return None
    return grade(len(found), max(1, len(sentences(text))), sum(map(syllables, found)))
