"""What does this machine's environment say, and is it fit to start with?"""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

SHORTEST_SECRET = 50
MOST_PROXIES = 9


def text(name: str, default: str) -> str:
    """The variable's text, or the default where it is unset or empty."""
    return os.environ.get(name, "").strip() or default


def words(name: str, default: str = "") -> list[str]:
    """The variable's words, parted by commas or white space."""
    return text(name, default).replace(",", " ").split()


def yes(name: str) -> bool:
    """Whether the variable says yes; unset means no. Raises ImproperlyConfigured for anything but yes or no."""
    said = text(name, "no").lower()
    if said in {"yes", "true", "1", "on"}:
        return True
    if said in {"no", "false", "0", "off"}:
        return False
    raise ImproperlyConfigured(f"{name} is '{said}': say yes or no.")


def proxies(name: str) -> int:
    """How many proxies of the shop's own stand in front: a number, or yes for one; unset means none. Raises ImproperlyConfigured."""
    said = text(name, "no").lower()
    if said.isascii() and said.isdigit() and int(said) <= MOST_PROXIES:
        return int(said)
    try:
        return int(yes(name))
    except ImproperlyConfigured:
        raise ImproperlyConfigured(f"{name} is '{said}': say no, yes, or how many proxies stand in front, such as 2.") from None


def secret_key(home: Path, *, production: bool) -> str:
    """The key that signs sessions: from BENCHRIGHT_SECRET, else (never in production) made once and kept in home.

    Raises ImproperlyConfigured where production is to start without a secret of its own.
    """
    given = text("BENCHRIGHT_SECRET", "")
    if production and len(given) < SHORTEST_SECRET:
        raise ImproperlyConfigured(
            "Production does not start with a default secret. Set BENCHRIGHT_SECRET to at least "
            f"{SHORTEST_SECRET} random characters, for example: python -c "
            "'import secrets; print(secrets.token_urlsafe(50))'"
        )
    return given or _kept_secret(home / "secret")


def _kept_secret(path: Path) -> str:
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii").strip()
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        made = secrets.token_urlsafe(SHORTEST_SECRET)
        file.write(made)
    return made
