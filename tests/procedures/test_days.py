"""Is a day written as CLDR gives it for the reader's region, whatever a browser sends?"""

from datetime import date

import pytest
from django.utils.translation.trans_real import parse_accept_lang_header

from procedures.records.days.regions import find_region
from procedures.records.days.writing import (
    ISO,
    PLAIN,
    write_day,
    write_full_day,
    write_near_day,
    write_short_day,
)
from tests.for_each import for_each

MONDAY = date(2026, 11, 30)


# Source: Unicode CLDR 47, cldr-dates-full, main/<locale>/ca-gregorian.json, availableFormats yMMMd,
# yMMMEEEEd (or yMMMEd, widened), MMMd and MMMEd; 30 Nov 2026 put in by hand.
@pytest.mark.parametrize(
    ("region", "plain", "named", "short", "short_named"),
    [
        # "d MMM y", "EEEE, d MMM y", "d MMM", "E d MMM"
        ("GB", "30 Nov 2026", "Monday, 30 Nov 2026", "30 Nov", "Mon 30 Nov"),
        # "MMM d, y", "E, MMM d, y", "MMM d", "E, MMM d"
        ("US", "Nov 30, 2026", "Monday, Nov 30, 2026", "Nov 30", "Mon, Nov 30"),
        ("CA", "Nov 30, 2026", "Monday, Nov 30, 2026", "Nov 30", "Mon, Nov 30"),
        # "d MMM y", "EEEE, d MMM y" (and not the "E, d MMM, y" of yMMMEd), "d MMM", "E, d MMM"
        ("IN", "30 Nov 2026", "Monday, 30 Nov 2026", "30 Nov", "Mon, 30 Nov"),
        # en-DE is en-150, en-JP is not in CLDR: the world's English, en-001
        ("DE", "30 Nov 2026", "Monday, 30 Nov 2026", "30 Nov", "Mon, 30 Nov"),
        ("JP", "30 Nov 2026", "Monday, 30 Nov 2026", "30 Nov", "Mon, 30 Nov"),
    ],
)
def test_a_day_is_written_as_cldr_gives_it_for_english_there(
    region, plain, named, short, short_named
):
    assert write_day(MONDAY, region) == plain
    assert write_full_day(MONDAY, region) == named
    assert write_short_day(MONDAY, region) == short
    assert write_near_day(MONDAY, region) == short_named


def test_what_is_signed_and_what_programs_read_has_no_region():
    # CLDR 47 shortens September to "Sept" in en-GB and "Sep" in en: not so what was signed.
    assert write_day(date(2026, 9, 3), "GB") == "3 Sept 2026"
    assert write_day(date(2026, 9, 3), PLAIN) == "3 Sep 2026"
    # ISO 8601-1:2019, 5.2.2.1
    assert write_day(date(2026, 9, 3), ISO) == "2026-09-03"


@for_each(
    [
        # RFC 9110, 12.5.4: the example "da, en-gb;q=0.8, en;q=0.7" prefers Danish; its region by
        # CLDR's likelySubtags (da is da-Latn-DK).
        ("da, en-gb;q=0.8, en;q=0.7", "DK"),
        ("en-US,en;q=0.9", "US"),
        ("fr-CH, fr;q=0.9, en;q=0.8, de;q=0.7, *;q=0.5", "CH"),
        ("en-gb;q=0.2, en-us;q=0.9", "US"),
        # RFC 9110, 12.4.2: a quality of 0 means "not acceptable".
        ("en-US;q=0, en-CA;q=0.1", "CA"),
        ("zh-Hant, en;q=0.1", "TW"),  # likelySubtags: zh-Hant is zh-Hant-TW
        ("sr-Latn-RS", "RS"),
        ("es-419", "419"),
        ("en", "GB"),
        ("", "GB"),
        ("*", "GB"),
        ("*;q=0", "GB"),
        ("tlh, x-klingon", "GB"),
        ("en-u-rg-uszzzz", "GB"),
        ("../../etc/passwd", "GB"),
        ("en_US", "GB"),
        ("en-US;q=2", "GB"),
        ("en;q=1.0000000000000000000000001", "GB"),
        ("\x00\xff\xfe", "GB"),
        ("en-" + "a-" * 5000, "GB"),
        (",".join(["en-US"] * 10_000), "US"),
    ]
)
def test_any_header_leads_to_a_region(header, region):
    assert find_region(parse_accept_lang_header(header)) == region
    assert "2026" in write_day(MONDAY, find_region(parse_accept_lang_header(header)))
