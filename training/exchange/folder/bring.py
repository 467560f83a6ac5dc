"""How does a shop's folder of records come in: all of it, or nothing?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from training.exchange.folder.bring_entries import bring_entries, bring_photos
from training.exchange.folder.bring_levels import bring_levels
from training.exchange.folder.bring_people import bring_people
from training.exchange.folder.bring_rota import bring_rota
from training.exchange.folder.bring_rules import bring_entry_rules, bring_quiz_rules
from training.exchange.folder.bring_sittings import bring_sittings
from training.exchange.folder.bring_texts import bring_questions, bring_writeups
from training.exchange.folder.bringing import Bringing
from training.exchange.folder.check import faults_in
from training.exchange.folder.delivery import Delivery, Fault
from training.records.clock import moment

# One of them, and several, where it is not the kind with an s
COUNTED = {
    "person": "people",
    "revision of a write-up": "revisions of write-ups",
    "quiz on paper": "quizzes on paper",
    "row of the rota": "rows of the rota",
    "draft from an old text": "drafts from old texts",
    "text of the shop’s rules": "texts of the shop’s rules",
    "draft from the examples": "drafts from the examples",
}


class Faulty(Exception):
    """A delivery that cannot come in; `faults` says everything that is wrong with it."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__(f"{len(faults)} faults")
        self.faults = tuple(faults)


@dataclass(frozen=True, slots=True)
class Brought:
    """What came in: how many of what, in the order of writing."""

    counts: dict[str, int]

    def __str__(self) -> str:
        """1 reading, 2 jobs …, or nothing."""
        counted = [
            f"{count} {one if count == 1 else COUNTED.get(one, one + 's')}"
            for one, count in self.counts.items()
        ]
        return ", ".join(counted) or "nothing"


@transaction.atomic
def bring(
    delivery: Delivery,
    *,
    now: datetime | None = None,
    is_demo: bool = False,
    tell: Callable[[str], None] | None = None,
    by: str = "",
) -> Brought:
    """Write the whole delivery, with its entries in the record book; `tell` hears what is being
    written. `by` is the login of whoever adds the pictures of old documents; it may be in the
    delivery itself.

    Raises Faulty, and then nothing is written.
    """
    faults = faults_in(delivery)
    if faults:
        raise Faulty(faults)
    writing = Bringing(delivery, moment(now), is_demo=is_demo, tell=tell, by=by)
    # In this order because each names rows of those before it.
    bring_people(writing)
    if by and by not in writing.logins:
        writing.faults.append(
            Fault("--by", 0, "", gettext("there is nobody with the login '{by}'").format(by=by), "")
        )
    bring_writeups(writing)
    bring_questions(writing)
    bring_levels(writing)
    writing.faults += bring_quiz_rules(delivery, writing.level_rows, writing.now)
    writing.faults += bring_entry_rules(delivery, writing.logins, writing.now)
    bring_sittings(writing)
    # Raised inside the transaction, so that what was written up to here goes with it.
    if writing.faults:
        raise Faulty(writing.faults)
    bring_photos(writing)
    bring_entries(writing)
    bring_rota(writing)
    return Brought({what: count for what, count in writing.counts.items() if count})
