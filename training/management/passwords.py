"""How does a command ask for a new password?"""

from __future__ import annotations

import sys
from getpass import getpass

from django.core.management.base import CommandError


def ask_password(words: str) -> str:
    """A password that was typed twice alike. Raises CommandError where it was not, where it was
    broken off, and where there is no terminal to ask at.
    """
    if not sys.stdin.isatty():
        raise CommandError(
            "There is no terminal to ask for the password at. Run this in a terminal. "
            "Nothing was changed."
        )
    try:
        password = getpass(f"{words}: ")
        if not password:
            raise CommandError("No password was typed. Nothing was changed.")
        if getpass("The same again: ") != password:
            raise CommandError("The two are not the same. Nothing was changed.")
    except (EOFError, KeyboardInterrupt) as broken_off:
        raise CommandError("Broken off. Nothing was changed.") from broken_off
    return password
