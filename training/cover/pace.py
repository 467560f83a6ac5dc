"""What if everybody goes on with as many jobs as in the last year?

Somebody's usual pace at a level is the number of jobs on record for the year before a day, evenly
spread. It is an assumption, told where it is made: nobody's standing today rests on it.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

from training.standing.evidence import Job, Shop
from training.standing.known import Known

YEAR = timedelta(days=365)


def shop_at_usual_pace(shop: Shop, on: date, until: date, known_at: datetime) -> Shop:
    """Return the shop with the jobs that the usual pace gives for the days after `on`, up to and
    with `until`.
    """
    # Its own shop, so that no page can take an expected job for one that was done.
    return replace(shop, jobs=(*shop.jobs, *_expected(shop, on, until, known_at)))


def _expected(shop: Shop, on: date, until: date, known_at: datetime) -> Iterator[Job]:
    known = Known(shop, known_at)
    for person, level in shop.files.jobs.pairs():
        done = [job.on for job in known.jobs(person, level) if on - YEAR < job.on <= on]
        if not done:
            continue
        pause = YEAR / len(done)
        number = 1
        # From the last job on and not from today, or each day of asking would move them all.
        while (day := done[-1] + number * pause) <= until:
            number += 1
            if day > on:
                yield Job(person, level, day, None, (), False, known_at, known_at)
