"""What does a watching mechanic look at, for which write-up and which fork?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from procedures.models import Revision
from procedures.rehearsal.variants import steps_for
from procedures.writeup.check_sheet import SEEN, Line, LineSeen, check_sheet, seen, unseen
from procedures.writeup.parse import parse
from training.gathering import Limits, gather, variants_of
from training.models import Level
from training.reports.at_bench import rules_in_force


@dataclass(frozen=True, slots=True)
class Observing:
    """How far the observer has come: the write-up and the fork chosen, and then the sheet."""

    writeups: tuple[Revision, ...]
    revision: Revision | None
    variants: Limits
    variant: dict[str, str]
    sheet: tuple[Line, ...]
    lines: tuple[LineSeen, ...]

    @property
    def is_ready(self) -> bool:
        """Whether the write-up and every option are chosen."""
        return self.revision is not None and len(self.variant) == len(self.variants)


def observing_page(level: Level, chosen: Mapping[str, str], *, today: date) -> Observing:
    """The page for what was chosen so far (`writeup`, and `v-NAME` for each variant)."""
    writeups = _current_writeups(level, today)
    name = chosen.get("writeup", "")
    revision = next((row for row in writeups if row.writeup.name == name), None)
    if revision is None and len(writeups) == 1:
        revision = writeups[0]
    if revision is None:
        return Observing(writeups, None, (), {}, (), ())
    variants = variants_of(revision.text)
    variant = {name: chosen[f"v-{name}"] for name, options in variants if chosen.get(f"v-{name}") in options}
    if len(variant) < len(variants):
        return Observing(writeups, revision, variants, variant, (), ())
    sheet = check_sheet(steps_for(parse(revision.text), variant))
    return Observing(writeups, revision, variants, variant, sheet, unseen(sheet))


def read_sheet(lines: tuple[LineSeen, ...], given: Mapping[str, str]) -> tuple[LineSeen, ...]:
    """The lines as the form says they were seen; a line that was not filled in stays open."""
    found = []
    for line in lines:
        how = given.get(f"seen-{line.step}", "")
        measured = [given.get(f"value-{line.step}-{place}", "")[:100] for place in range(1, len(line.values) + 1)]
        found.append(seen(line, how, measured) if how in SEEN else line)
    return tuple(found)


def _current_writeups(level: Level, today: date) -> tuple[Revision, ...]:
    rules = rules_in_force(gather(), level.name, today)
    if rules is None:
        return ()
    newest: dict[str, Revision] = {}
    rows = Revision.objects.released(today).filter(writeup__name__in=rules.writeups).select_related("writeup")
    for row in rows.order_by("number"):
        newest[row.writeup.name] = row
    return tuple(newest[name] for name in rules.writeups if name in newest)
