"""Which passwords would a stranger try first?

NIST SP 800-63B-4, 3.1.1.2, asks to refuse what is common or expected: repeated and sequential
letters, and words of the place, such as the name of the service, the login, and what is derived
from them. The limits are ours.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from training.models import User, Workshop

PRODUCT = ("benchright", "password", "passwort", "letmein")
# the password of the demo shop stands in the README; only that shop may have it
DEMO = "demo-bench"
# Keyboards of several countries: what is a row here is not one there, and refusing it costs little.
ROWS = (
    "abcdefghijklmnopqrstuvwxyz",
    "0123456789",
    "1234567890",
    "qwertyuiop",
    "qwertzuiop",
    "azertyuiop",
    "asdfghjkl",
    "yxcvbnm",
    "zxcvbnm",
)
FEWEST = 5  # letters that must be left of a password once names and rows are out of it
FEWEST_DIFFERENT = 5
# A name of two letters stands in many good passwords by chance.
SHORTEST_NAME = 3
_WORDS = re.compile(r"\w+")


class NoNames:
    """Refuses a password that is little more than the name of the site, a workshop, or the
    person.
    """

    def validate(self, password: str, user: object = None) -> None:
        said = _folded(password)
        names = {
            name
            for text in _names(user)
            # The whole run together ("mainstreetcycles") and each word of it: both are tried first.
            for name in (_letters(text), *map(_folded, _WORDS.findall(text)))
            if len(name) >= SHORTEST_NAME
        }
        # The longest first, so that the refusal names the whole name and not a piece of it.
        for name in sorted(names | set(PRODUCT) | _demo(user), key=lambda name: (-len(name), name)):
            # Digits do not count as left over: "name2024!" is guessed as soon as "name".
            if name in said and len(_letters(said.replace(name, ""))) < FEWEST:
                raise ValidationError(
                    gettext(
                        "This password is too close to “{name}”, which anybody would try first. "
                        "Choose a few words that have nothing to do with it."
                    ).format(name=name),
                    code="password_is_name",
                )

    def get_help_text(self) -> str:
        return gettext(
            "Do not use your own name or the name of the shop, even with digits after it."
        )


class NoRows:
    """Refuses a password that is one letter, a few, or a row of the keyboard or the alphabet over
    and over.
    """

    def validate(self, password: str, user: object = None) -> None:
        said = _folded(password)
        if len(set(said)) < FEWEST_DIFFERENT or _outside_rows(said) < FEWEST:
            raise ValidationError(
                gettext(
                    "This password is a row of keys or repeats a few letters. Anybody would try "
                    "that first. Choose a few words that do not belong together."
                ),
                code="password_is_row",
            )

    def get_help_text(self) -> str:
        return gettext("Do not use a row of keys, or the same few letters again and again.")


def _demo(user: object) -> set[str]:
    # Who copies the demo's password into a real shop has one that stands in public.
    return set() if isinstance(user, User) and user.workshop.is_demo else {DEMO}


def _folded(text: str) -> str:
    # NFKC, so that full-width letters and ligatures do not get a name past.
    return unicodedata.normalize("NFKC", text).casefold()


def _letters(text: str) -> str:
    return "".join(letter for letter in _folded(text) if letter.isalpha())


def _names(user: object) -> Iterable[str]:
    if isinstance(user, User):
        yield from (user.login, user.name)
    # Every workshop: a colleague knows them all.
    yield from Workshop.objects.values_list("name", flat=True)


def _outside_rows(said: str) -> int:
    """How many signs do not go on with the row that the two before them began."""
    return len(said) - sum(_goes_on(said[place - 2 : place + 1]) for place in range(2, len(said)))


def _goes_on(three: str) -> bool:
    # Threes, since two neighbours stand together in many words by chance.
    return three[0] == three[1] == three[2] or any(
        three in row or three[::-1] in row for row in ROWS
    )
