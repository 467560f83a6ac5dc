"""What changed in a write-up since this person last read it?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from procedures.models import Revision
from procedures.records.asking import Asked
from procedures.records.statements import prepare_objects
from procedures.records.texts import parse_once
from procedures.reports.comparing import ChangeShown, draw_changes
from procedures.writeup.diff import compare
from training.models import Reading, User


@dataclass(frozen=True, slots=True)
class SinceRead:
    """The revision read before, when, and every change since then; `steps` are the ids of the steps
    that changed.
    """

    number: int
    read_on: date
    changes: tuple[ChangeShown, ...]
    steps: frozenset[str]


def changes_since_read(person: User, revision: Revision) -> SinceRead | None:
    """What is new for somebody who has read an earlier revision and not this one; None for anybody
    else. Two queries, and one for pictures.
    """
    rows = _ask_last_reading(person.pk, revision.writeup_id)
    # A higher revision read answers for the lower ones, as in rule 6 of the standing.
    if not rows or rows[0].revision.number >= revision.number:
        return None
    last = rows[0]
    found = compare(parse_once(last.revision.text), parse_once(revision.text)).changes
    asked = [Asked(change, None) for change in found]
    changes = draw_changes(asked, last.revision, revision)
    return SinceRead(
        last.revision.number,
        last.happened_on,
        changes,
        frozenset(one.key for one in changes if one.key),
    )


@prepare_objects
def _ask_last_reading(person: int, writeup: int) -> QuerySet[Reading]:
    readings = Reading.objects.filter(person=person, revision__writeup=writeup)
    newest = readings.order_by("-revision__number", "-happened_on")
    return newest.select_related("revision")[:1]
