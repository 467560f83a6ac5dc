"""What is wrong with a place whose server was killed?"""

import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tests.bench.killed_people import Told
from tests.training.places import Place

PATIENCE = 30.0  # seconds until a database has noticed that its clients are gone


class Found:
    """Looks at a place after each kill. The book is looked at from where the last look ended; whole
    at the end.
    """

    def __init__(self, place: Place, told: Told) -> None:
        from training.models import Job, Observation, SignOff
        from training.records.keeping import head

        self.place, self.told = place, told
        self.kinds = {model.KIND: model for model in (Job, Observation, SignOff)}
        # What was there before anybody worked came in by no form.
        self.before = {kind: self._keys(model) for kind, model in self.kinds.items()}
        self.seen, _ = head()

    def wrong_after_kill(self) -> list[str]:
        """Each thing that is wrong, in a sentence."""
        from django.db import connections

        wrong = [*self._database(), *self._book(), *self._forms(), *self._answers()]
        wrong += self._photos()
        connections.close_all()
        return wrong

    def whole_book(self) -> list[str]:
        """What is wrong with the book from its first entry on, by the command that a shop has."""
        done = self.place.run("book")
        return [] if done.returncode == 0 else [done.stdout + done.stderr]

    def leftovers(self) -> str:
        """Photos that wait for a form nobody sent again, and files that came in by half."""
        names = [path.name for path in self._pictures()]
        half = sum(name.startswith(".") for name in names)
        waiting = len(names) - half - len(self._photos_of_rows())
        return f"{waiting} photos of forms without an entry, {half} files that came in by half"

    def _database(self) -> Iterator[str]:
        if self.place.url:
            self._wait_for_the_end_of_others()
        else:
            from django.db import connection

            # By the site's own connection, which knows the functions that constraints call.
            with connection.cursor() as cursor:
                cursor.execute("PRAGMA quick_check")
                told = [said for (said,) in cursor.fetchall()]
            if told != ["ok"]:
                yield f"quick_check: {told}"

    def _wait_for_the_end_of_others(self) -> None:
        """A backend of PostgreSQL goes on with what it was told until it notices."""
        sql = (
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
            "AND pid <> pg_backend_pid() AND backend_type = 'client backend'"
        )
        until = time.monotonic() + PATIENCE
        while self.place.ask(sql) != [(0,)] and time.monotonic() < until:
            time.sleep(0.1)

    def _book(self) -> Iterator[str]:
        from training.records.keeping import faults, head

        for fault in faults(max(1, self.seen)):
            yield f"entry {fault.number} ({fault.kind}): {fault.problem}"
        number, _ = head()
        if number < self.seen:
            yield f"the book ended at entry {self.seen} and now ends at {number}"
        self.seen = number

    def _forms(self) -> Iterator[str]:
        from quizzes.models import Sitting
        from training.models import BookEntry, Taken

        for kind, model in self.kinds.items():
            taken = dict(Taken.objects.filter(kind=kind).values_list("mark", "row"))
            rows = self._keys(model) - self.before[kind]
            if set(taken.values()) != rows or len(taken) != len(rows):
                yield f"{kind}: {len(taken)} forms taken, {len(rows)} rows"
            entries = Counter(
                BookEntry.objects.filter(kind__startswith=kind, row__in=rows).values_list(
                    "row", flat=True
                )
            )
            if entries != Counter(rows):
                yield f"{kind}: not each row has one entry: {entries - Counter(rows)}"
            for _, mark in sorted(form for form in self.told.forms if form[0] == kind):
                if mark not in taken:
                    yield f"{kind} {mark} was told as saved and is not there"
        ended = set(Sitting.objects.exclude(percent=None).values_list("pk", flat=True))
        for kind, mark in self.told.forms:
            if kind == "sitting" and int(mark) not in ended:
                yield f"sitting {mark} was told as ended and is not"

    def _answers(self) -> Iterator[str]:
        from quizzes.models import Answer

        kept: dict[tuple[int, int], list] = {}
        for sitting, place, given in Answer.objects.values_list("sitting_id", "place", "given"):
            kept.setdefault((sitting, place), []).append(given)
        for where, given in self.told.answers.items():
            if kept.get(where) != [given]:
                yield f"answer {where} was told as saved; kept: {kept.get(where)}, given: {given}"

    def _photos(self) -> Iterator[str]:
        from procedures.records.files import digest_of, find_kept

        for digest in self._photos_of_rows():
            if find_kept(digest) is None:
                yield f"photo {digest} stands in an observation and is no file"
        for path in self._pictures():
            # Under its own name a file is whole, whoever it belongs to.
            if not path.name.startswith(".") and digest_of(path.read_bytes()) != path.name:
                yield f"picture {path.name} is not what its name says"

    def _photos_of_rows(self) -> set[str]:
        from training.models import Observation

        return {
            digest
            for photos in Observation.objects.values_list("photos", flat=True)
            for digest in photos
        }

    def _pictures(self) -> list[Path]:
        folder = self.place.home / "pictures"
        return sorted(folder.iterdir()) if folder.exists() else []

    @staticmethod
    def _keys(model) -> set[int]:
        return set(model.objects.values_list("pk", flat=True))
