"""Does a text hold letters that nobody sees, or that turn the order of what stands beside them?

Unicode Standard Annex 9 (2.1 to 2.4) names the marks that turn the direction of writing; Unicode
Technical Standard 39, 5.4, counts unseen letters and heaps of accents among what identifiers should
not have. Categories are those of Unicode's character database.
"""

import re
import unicodedata
from collections.abc import Iterator

from procedures.writeup.remarks import Remark, remark

# How a write-up, a level or a drawing goes by in addresses and files.
SHORT_NAME = re.compile(r"[A-Za-z0-9_-]{1,80}")

_UNSEEN = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"})
# Letters that show nothing though their category says otherwise (Default_Ignorable_Code_Point; the
# braille blank from memory).
_BLANK = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\uffa0") | {
    chr(code) for code in range(0xFE00, 0xFE10)
}
_LAYOUT = frozenset("\n\r\t")
MOST_ACCENTS = 4  # one upon the other; UTS 39, 5.4


def hidden_in(text: str, *, is_line: bool = False) -> str:
    """How the first letter is called that nobody sees, as U+202E; empty without one. Line ends and
    tabs count only in a line.
    """
    hidden = _hidden_among(set(text) if is_line else set(text) - _LAYOUT)
    if not hidden:
        return ""
    return next(f"U+{ord(letter):04X}" for letter in text if letter in hidden)


def _hidden_among(letters: set[str]) -> set[str]:
    # Asked of each letter once, since a text has few of them and many times.
    return {
        letter for letter in letters if letter in _BLANK or unicodedata.category(letter) in _UNSEEN
    }


def strip_hidden(text: str) -> str:
    """The text in Unicode's normal form C, without what nobody sees but line ends and tabs; line
    ends are one sign.

    A mark that parts words or lines, such as U+2028, becomes a space, so that no two words run
    together.
    """
    plain = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    hidden = _hidden_among(set(plain) - _LAYOUT)
    return plain.translate({ord(letter): " " * letter.isspace() for letter in hidden})


def put_in_one_line(text: str) -> str:
    """The text in normal form C, with each run of spaces as one and none at the ends."""
    return " ".join(
        part
        for part in unicodedata.normalize("NFC", text).replace("\u00a0", " ").split(" ")
        if part
    )


def find_fault_of_name(name: str) -> Remark | None:
    """What is wrong with the name of a person or a place; None where nothing is."""
    hidden = hidden_in(name, is_line=True)
    if hidden:
        return remark("name-hidden-letter", letter=hidden)
    if not any(letter.isalnum() for letter in name):
        return remark("name-without-letter")
    if max(_heaps(name)) > MOST_ACCENTS:
        return remark("name-of-accents", most=MOST_ACCENTS)
    return None


def _heaps(text: str) -> Iterator[int]:
    height = 0
    # Taken apart first: a letter and its accent can be one sign, which would hide one of a heap.
    for letter in unicodedata.normalize("NFD", text):
        height = height + 1 if unicodedata.category(letter) == "Mn" else 0
        yield height
