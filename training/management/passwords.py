"""How does a command ask for a new password?"""

from __future__ import annotations

import sys
from getpass import getpass

from django.core.management.base import CommandError
from django.utils.translation import gettext


def ask_password(words: str) -> str:
    """A password that was typed twice alike. Raises CommandError where it was not, where it was
    broken off, and where there is no terminal to ask at.
    """
    if not sys.stdin.isatty():
        raise CommandError(
            gettext(
                "The password can be typed only in a terminal. Run this in one. "
                "Nothing was changed."
            )
        )
    try:
        password = getpass(f"{words} ")
        if not password:
            raise CommandError(gettext("No password was typed. Nothing was changed."))
        if getpass(gettext("The same again:") + " ") != password:
            raise CommandError(gettext("The two are not the same. Nothing was changed."))
    except (EOFError, KeyboardInterrupt) as broken_off:
        raise CommandError(gettext("Stopped. Nothing was changed.")) from broken_off
    return password
