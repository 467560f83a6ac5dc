"""Do two hundred people who sign at the same moment leave one unbroken chain, with none of them
lost?

`python -m tests.bench.many_signings 200` makes a database of its own beside the configured one
(SQLite: a file; or what DATABASE_URL names), lets every signing wait for one starting shot, in
several processes and many threads, and checks the book afterwards. Each is the site's own
`sign_off`: the sheet made, its digest given back, row and entry in one transaction.
"""

import argparse
import multiprocessing
import sys
import threading
import time

from tests.bench.own_database import own_database
from tests.bench.rounds import add_row


def main(count: int, processes: int) -> int:
    """0 comes back when every signing stands in one whole chain, else 1; what was found is
    printed.
    """
    with own_database("many_signings"):
        from django.db import connections

        people = _shop(count)
        at_once = min(count, _most_at_once())
        connections.close_all()
        began = time.perf_counter()
        failed = _sign(people, at_once, processes)
        return _told(count, at_once, failed, time.perf_counter() - began)


def _most_at_once() -> int:
    """SQLite takes any number of connections; PostgreSQL what its setting leaves free, less a few
    for others.
    """
    from django.db import connection

    if connection.vendor == "sqlite":
        return sys.maxsize
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT current_setting('max_connections')::int - count(*) FROM pg_stat_activity"
        )
        return max(2, int(cursor.fetchone()[0]) - 10)


def _shop(count: int) -> list[int]:
    from tests.training.shop import LONG_AGO, small_shop
    from training.actions.people import add_person

    workshop = small_shop().workshop
    return [
        add_person(
            login=f"p{place}",
            name=f"Person {place}",
            trade="mechanic",
            workshop=workshop,
            started=LONG_AGO,
        ).pk
        for place in range(count)
    ]


def _sign(people: list[int], at_once: int, processes: int) -> int:
    """How many signings failed. Each thread signs for its share, one after the other."""
    fork = multiprocessing.get_context("fork")  # no thread runs and no connection is open here
    threads = max(1, at_once // processes)
    start, failed = fork.Barrier(processes), fork.Value("i", 0)
    workers = [
        fork.Process(target=_worker, args=(people[place::processes], threads, start, failed))
        for place in range(processes)
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    return int(failed.value)


def _worker(people: list[int], threads: int, start, failed) -> None:
    from django.db import connection

    gate = threading.Barrier(min(threads, len(people)), action=start.wait)

    def sign(share: list[int]) -> None:
        gate.wait()
        for key in share:
            try:
                _sign_one(key)
            except Exception as error:
                print(f"{type(error).__name__}: {error}", file=sys.stderr)
                with failed.get_lock():
                    failed.value += 1
        connection.close()

    number = min(threads, len(people))
    running = [
        threading.Thread(target=sign, args=(people[place::number],)) for place in range(number)
    ]
    for thread in running:
        thread.start()
    for thread in running:
        thread.join()


def _sign_one(key: int) -> None:
    from tests.training.shop import found
    from training.models import Level, User

    found(User.objects.get(pk=key), Level.objects.get(), User.objects.get(trade="owner"))


def _told(count: int, at_once: int, failed: int, seconds: float) -> int:
    from django.db import connection

    from training.models import SignOff
    from training.records.keeping import faults, head

    broken = [fault.problem for fault in faults()]
    kept = SignOff.objects.filter(person__login__startswith="p").count()
    whole = not failed and kept == count and not broken
    add_row(
        f"{count} people sign at once",
        "no error, none lost",
        f"{failed} failed, {count - kept} lost, {'chain whole' if whole else 'chain broken'}",
    )
    print(
        f"{connection.vendor}: {count} signings, {at_once} at once, {failed} failed, {kept} kept, "
        f"{head()[0]} entries in the book, "
        f"{'one whole chain' if whole else broken or 'some lost'}; {seconds:.1f} s"
    )
    return 0 if whole else 1


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int, nargs="?", default=200)
    parser.add_argument("--processes", type=int, default=4)
    given = parser.parse_args()
    sys.exit(main(given.count, given.processes))
