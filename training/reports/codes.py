"""Which codes hang at the bench, each leading to a write-up's revision in force?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from procedures.models import Revision
from procedures.records import texts
from training.reports.cards import code_of
from training.reports.levels import level_titles

THIS_MACHINE = ("localhost", "127.0.0.1", "[::1]")


@dataclass(frozen=True, slots=True)
class BenchCode:
    """One label. The address names the write-up and no revision, so that it is right for good."""

    title: str
    level: str
    address: str
    code: SafeString


def bench_codes(on: date, absolute: Callable[[str], str]) -> tuple[BenchCode, ...]:
    """A label for each write-up with a released revision, by level and title; `absolute` makes a
    whole address of a path.
    """
    levels = level_titles()
    found = []
    for row in Revision.objects.current(on).select_related("writeup"):
        writeup = texts.parse_once(row.text)
        title = writeup.title or row.writeup.title
        address = absolute(reverse("training:bench", args=[row.writeup.name]))
        # the code's own name, for whoever hears the page
        name = gettext("Code for {title}").format(title=title)
        level = levels.get(writeup.level, writeup.level)
        found.append(BenchCode(title, level, address, code_of(address, name)))
    return tuple(sorted(found, key=lambda one: (one.level, one.title)))


def reaches_only_here(host: str) -> bool:
    """Whether a site asked for by this host name can be reached from no other device."""
    return host.rpartition(":")[0] in THIS_MACHINE or host in THIS_MACHINE
