"""Which logins would be taken for an address of the site, or for somebody who speaks for it?"""

from collections.abc import Iterator
from functools import cache

from django.urls import URLPattern, URLResolver, get_resolver

FOR_THE_SITE = frozenset(
    [
        "admin",
        "administrator",
        "anybody",
        "anyone",
        "benchright",
        "demo",
        "everybody",
        "everyone",
        "guest",
        "help",
        "media",
        "nobody",
        "none",
        "null",
        "owner",
        "root",
        "security",
        "shop",
        "site",
        "somebody",
        "static",
        "support",
        "sysadmin",
        "system",
        "test",
        "undefined",
        "user",
        "webmaster",
        "workshop",
    ]
)


def is_taken_by_site(login: str) -> bool:
    """Whether a new person may not be called this, however it is written: a word of an address,
    such as people/new/, or of the site.
    """
    return login.casefold() in FOR_THE_SITE | address_words()


@cache
def address_words() -> frozenset[str]:
    """Every word that stands between slashes in an address of the site."""
    return frozenset(_words(get_resolver().url_patterns))


def _words(patterns: list[URLPattern | URLResolver]) -> Iterator[str]:
    for found in patterns:
        yield from (
            part.casefold() for part in str(found.pattern).split("/") if part and "<" not in part
        )
        if isinstance(found, URLResolver):
            yield from _words(found.url_patterns)
