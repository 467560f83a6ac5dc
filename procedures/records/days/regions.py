"""By which region's order does a reader read a day, going by what their browser asks for?"""

from collections.abc import Iterable

from babel.core import get_global, parse_locale

HOUSE = "GB"
"""The region of the house, whose English the sentences are in."""

Range = tuple[str, float]


def find_region(ranges: Iterable[Range]) -> str:
    """Return the region of the first language range that names one, such as "US" or "001", and the
    house's where none does.

    The ranges are those of an `Accept-Language` field (RFC 9110, 12.5.4), best first, each with its
    quality; one of quality 0 is "not acceptable". A language without a region has that of CLDR's
    likely subtags (UTS 35): de is Germany. Only a bare `en` says nothing: the house's own English
    answers it (RFC 4647, 3.3.1).
    """
    for tag, quality in ranges:
        if quality <= 0:
            continue
        if tag.lower() == "en":
            return HOUSE
        if region := _region_of(tag):
            return region
    return HOUSE


def _region_of(tag: str) -> str:
    try:
        language, territory, script, *_ = parse_locale(tag, sep="-")
    except ValueError:
        return ""
    if territory:
        return territory
    likely = get_global("likely_subtags")
    for key in (f"{language}_{script}", language):
        if key in likely:
            return parse_locale(likely[key])[1] or ""
    return ""
