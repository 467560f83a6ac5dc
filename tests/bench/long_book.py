"""How long, and in how much memory, is a long record book checked?

`python -m tests.bench.long_book 20000 100000` fills a database of its own (SQLite in a temporary
folder) to each of these numbers of entries in turn, checks it, and prints the seconds of a check
and, from a second one, the peak of memory. `--no-memory` leaves out the second one, which takes
several times as long.
"""

import argparse
import os
import sys
import tempfile
import time
import tracemalloc

PORTION = 20_000


def main(sizes: list[int], *, memory: bool) -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BENCHRIGHT_HOME"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        from django.core.management import call_command

        from tests.training.shop import small_shop

        call_command("migrate", verbosity=0)
        shop = small_shop()
        for size in sorted(sizes):
            _fill(shop, size)
            print(_checked(size, memory=memory), flush=True)


def _fill(shop, size: int) -> None:
    from django.db import transaction

    from tests.training.shop import NOW, TODAY
    from training.models import Reading
    from training.records.keeping import head, record_all

    while (missing := size - head()[0]) > 0:
        with transaction.atomic():
            record_all(
                "reading",
                Reading.objects.bulk_create(
                    Reading(
                        person=shop.trainee,
                        revision=shop.revision,
                        happened_on=TODAY,
                        recorded_at=NOW,
                    )
                    for _ in range(min(missing, PORTION))
                ),
            )


def _checked(size: int, *, memory: bool) -> str:
    from training.records.keeping import faults

    began = time.perf_counter()
    assert list(faults()) == []
    told = f"{size} entries: {time.perf_counter() - began:.1f} s"
    if memory:
        tracemalloc.start()
        assert list(faults()) == []
        told += f", at most {tracemalloc.get_traced_memory()[1] / 2**20:.1f} MB"
        tracemalloc.stop()
    return told


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", type=int, nargs="*", default=[20_000, 100_000])
    parser.add_argument("--no-memory", action="store_true")
    given = parser.parse_args()
    sys.exit(main(given.sizes, memory=not given.no_memory))
