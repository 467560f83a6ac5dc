"""Which texts of a list are names of people, or the head above such names?"""

from __future__ import annotations

import re
from unicodedata import category

from training.exchange.matrix.joining import make_plain_head
from training.exchange.matrix.marks import MarkKind, read_mark

SUMS = re.compile(r"totals?|sum|count|key|legend")
NAME_HEADS = re.compile(
    r"names?|mechanics?|persons?|people|employees?|staff|technicians?|who|names? of .*"
)
A_NAME = re.compile(r"[^\W\d_][\w.'’-]*(,? [^\W\d_][\w.'’-]*){0,5}")
LONGEST_NAME = 60


def is_no_name(text: str) -> bool:
    """Whether a text in the column of names is a sum, a legend or a remark."""
    plain = make_plain_head(text)
    return (
        bool(SUMS.fullmatch(plain) or NAME_HEADS.fullmatch(plain))
        or len(text) > LONGEST_NAME
        or bool(re.search(r"[=;:?!]|\d", text))
        or read_mark(text).kind is not MarkKind.WORD
        or not looks_like_name(text)
    )


def looks_like_name(text: str) -> bool:
    """Whether a text has the shape of a name, in any script: many write vowels as marks."""
    letters = "".join(sign for sign in text if not category(sign).startswith("M"))
    return bool(A_NAME.fullmatch(letters))
