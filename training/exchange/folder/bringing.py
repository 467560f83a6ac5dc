"""What is known of a delivery while it is written: the names found so far, and how many came in?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime

from procedures.models import Revision
from training.exchange.folder.delivery import Delivery, Fault, Record
from training.models import Entry, Level, Lift, PaperPass, User, Workshop
from training.records.keeping import record_all

# SQLite binds a limited number of values in one statement.
BATCH = 500
PORTION = 5_000  # rows between two words on how far it is
KINDS = {PaperPass.KIND: "quiz on paper", Lift.KIND: "lifted stand-down"}


class Bringing:
    """One delivery on its way into the tables, with the names found so far."""

    def __init__(
        self,
        delivery: Delivery,
        now: datetime,
        *,
        is_demo: bool,
        tell: Callable[[str], None] | None,
        by: str = "",
    ) -> None:
        self.delivery, self.now, self.is_demo, self.by = delivery, now, is_demo, by
        self.tell = tell or (lambda _: None)
        self.counts: dict[str, int] = {}
        self.faults: list[Fault] = []
        self.logins: dict[str, User] = {
            user.login: user for user in User.objects.select_related("workshop")
        }
        # By key: “the first workshop” decides the day and must be the same one each time.
        self.workshops = {row.name: row for row in Workshop.objects.order_by("pk")}
        self.level_rows: dict[str, Level] = {}
        self.revisions: dict[tuple[str, int], Revision] = {}

    def today(self) -> date:
        """The day of bringing in, in the (first) workshop."""
        return self.day_of(self.now) if self.workshops else self.now.date()

    def day_of(self, instant: datetime) -> date:
        """The day of an instant in the (first) workshop."""
        return next(iter(self.workshops.values())).day_of(instant)

    def somebody(self, login: str | None) -> User | None:
        """The person of a login; nobody where the cell is empty."""
        return self.logins[login] if login else None

    def revision_of(self, row: Record) -> Revision | None:
        """The revision that a row names; none where it names no write-up."""
        return self.revisions[row["writeup"], row["revision"]] if row["writeup"] else None

    def keep(self, model: type[Entry], rows: Sequence[Entry]) -> None:
        """Write entries of one kind and link them into the record book, in portions."""
        for start in range(0, len(rows), PORTION):
            some = rows[start : start + PORTION]
            self.tell(f"Writing {model.KIND} {start + 1} of {len(rows)}")
            model._default_manager.bulk_create(some, batch_size=BATCH)
            record_all(model.KIND, some)
        self.counts[KINDS.get(model.KIND, model.KIND)] = len(rows)
