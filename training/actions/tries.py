"""How is a try counted before the password is looked at, and taken back when it was right?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from django.db import transaction

from training.access.throttle import LONGEST, MOST_DOUBLED, Bucket, Path
from training.models import Tries

# The widest bucket counts to 110 and forgets one an hour: 110 hours are less than five days.
FORGOTTEN = timedelta(days=5)  # by then every count has run down


class Wait(Exception):
    """Too many wrong tries; `seconds` says for how long nothing is looked at."""

    def __init__(self, seconds: int) -> None:
        super().__init__(seconds)
        self.seconds = seconds


def take_try(*, paths: Sequence[Path], now: datetime) -> Path:
    """Count one more try now, in the buckets of the first path on which nobody has to wait, and
    return them. Raises Wait where one has to on every path.

    It comes before the slow look at the password, so that a flood of tries costs one query each,
    and a hundred at once are a hundred counted. Call it outside a transaction that a refusal would
    undo.
    """
    kept, shortest = _kept([bucket for path in paths for bucket in path]), LONGEST
    for path in paths:
        wait = max(_wait(bucket, kept, now) for bucket in path) or _count(path=path, now=now)
        if not wait:
            return path
        shortest = min(shortest, wait)
    raise Wait(shortest)


@transaction.atomic
def forget_tries(*, path: Path, now: datetime) -> None:
    """It was right: the count of the person begins afresh; an address only gets this one try
    back.
    """
    kept = _kept(path, lock=True)
    for bucket in path:
        if row := kept.get(bucket.key):
            # Else a guesser with one account of their own could clear the address again and again.
            row.count = max(0, row.count - 1) if bucket.is_shared else 0
    Tries.objects.bulk_update(kept.values(), ["count"])
    # Here, so that no timer is needed, and at a right password only: a flood does not pay for it.
    Tries.objects.filter(last_at__lt=now - FORGOTTEN).delete()


@transaction.atomic
def _count(*, path: Path, now: datetime) -> int:
    """Counts one try in each bucket, and says 0; or how long to wait, where somebody else was
    quicker.
    """
    kept = _locked(path, now)
    # Asked once more behind the lock, since a hundred at once all saw the same count before it.
    wait = max(_wait(bucket, kept, now) for bucket in path)
    if not wait:
        for bucket in path:
            row = kept[bucket.key]
            # Bounded, so that a flood at somebody's login is forgotten within hours of its end.
            row.count = min(
                bucket.left(row.count, row.last_at, now) + 1, bucket.free + MOST_DOUBLED
            )
            row.last_at = now
        Tries.objects.bulk_update(kept.values(), ["count", "last_at"])
    return wait


def _locked(path: Path, now: datetime) -> dict[str, Tries]:
    """The rows of the buckets, made where they are missing, and held."""
    keys = sorted(bucket.key for bucket in path)
    # Again where somebody cleared an old row away between the two lines.
    while len(kept := _kept(path, lock=True)) < len(keys):
        Tries.objects.bulk_create(
            [Tries(key=key, last_at=now) for key in keys], ignore_conflicts=True
        )
    return kept


def _kept(path: Sequence[Bucket], *, lock: bool = False) -> dict[str, Tries]:
    # one order, so that nobody waits crosswise
    rows = Tries.objects.filter(key__in=[bucket.key for bucket in path]).order_by("key")
    return {row.key: row for row in (rows.select_for_update() if lock else rows)}


def _wait(bucket: Bucket, kept: Mapping[str, Tries], now: datetime) -> int:
    row = kept.get(bucket.key)
    return bucket.wait(row.count, row.last_at, now) if row else 0
