"""What came in that is no fault, but that somebody should look at?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from django.utils.translation import gettext

from procedures.models import Revision, ShopRules
from procedures.records.days.reader import say_day
from procedures.records.wording.say import say
from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.rules import ShopRules as ReadRules
from procedures.writeup.rules import read_rules
from training.records.gathering import gather
from training.standing.entitlement import Asked, Asking, as_question, asking_of
from training.standing.evidence import Job, Shop


def worth_knowing(now: datetime, tell: Callable[[str], None] | None = None) -> Iterator[str]:
    """Sign-offs that hold nothing up, jobs that nobody entitled did or watched, write-ups that do
    not rehearse.

    `tell` hears how far it is.
    """
    shop, tell = gather(), tell or (lambda _: None)
    asking = asking_of(shop, now)
    yield from _signoffs(shop, asking, tell)
    yield from _jobs(shop, asking, tell)
    tell("Rehearsing the write-ups")
    yield from _writeups()


def _signoffs(shop: Shop, asking: Asking, tell: Callable[[str], None]) -> Iterator[str]:
    for place, row in enumerate(shop.signoffs, start=1):
        tell(f"Looking at sign-off {place} of {len(shop.signoffs)}")
        # A row that is recorded later than this moment counts for nothing yet, so it is no news.
        if row.recorded_at <= asking.known.at and not asking.entitled(row):
            yield gettext(
                "sign-off of {person}, {level}, {day}: the signer was not allowed to sign, so it "
                "does not count."
            ).format(person=row.person, level=row.level, day=say_day(row.on))


def _jobs(shop: Shop, asking: Asking, tell: Callable[[str], None]) -> Iterator[str]:
    for place, row in enumerate(shop.jobs, start=1):
        tell(f"Looking at job {place} of {len(shop.jobs)}")
        asked = Asked(
            row.watched_by or row.person, row.level, row.on, as_question(dict(row.variant))
        )
        if row.recorded_at <= asking.known.at and not asking.alone(asked):
            yield _job_alone(row)


def _job_alone(row: Job) -> str:
    named = {"person": row.person, "level": row.level, "day": say_day(row.on)}
    if row.watched_by:
        return gettext(
            "job of {person}, {level}, {day}: {watcher}, who watched, could not work alone at this "
            "level on that day."
        ).format(watcher=row.watched_by, **named)
    return gettext(
        "job of {person}, {level}, {day}: {person} could not work alone at this level on that day."
    ).format(**named)


def _writeups() -> Iterator[str]:
    newest = ShopRules.objects.order_by("-pk").values_list("text", flat=True).first()
    rules = read_rules(newest) if newest else ReadRules()
    texts = {}
    for name, number, text in (
        Revision.objects.released()
        .order_by("number")
        .values_list("writeup__name", "number", "text")
    ):
        texts[name] = (number, parse(text))
    others = {name: parsed for name, (_, parsed) in texts.items()}
    for name, (number, parsed) in sorted(texts.items()):
        errors = [
            finding
            for finding in rehearse(parsed, rules, others=others)
            if finding.level == "error"
        ]
        if errors:
            counted = "1 error" if len(errors) == 1 else f"{len(errors)} errors"
            yield (
                f"write-up {name}, revision {number}: its rehearsal finds {counted}, such as: "
                f"{say(errors[0].remark)}"
            )
