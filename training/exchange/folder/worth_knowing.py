"""What came in that is no fault, but that somebody should look at?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.translation import gettext, gettext_noop, ngettext

from procedures.models import Revision, ShopRules
from procedures.records.days.reader import say_day
from procedures.records.wording.say import say
from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.rules import ShopRules as ReadRules
from procedures.writeup.rules import read_rules
from training.exchange.folder.delivery import Delivery
from training.models import Job as JobRow
from training.models import Observation as ObservationRow
from training.records.gathering import gather, time_zone_of_shop
from training.standing.entitlement import Asked, Asking, as_question, asking_of
from training.standing.evidence import Job, Shop

# What was done on one day: none of it can lie in the future, unlike an appointment.
DONE = ("readings.csv", "passes.csv", "jobs.csv", "observations.csv", "signoffs.csv", "voids.csv")
# Of these the number counts, so that the same one twice lets somebody work alone too long.
COUNTED = {
    "jobs.csv": (
        JobRow,
        gettext_noop(
            "{file}: for {count} of the rows, such as row {row}, the shop has a job of this "
            "person, level and day already. If it is the same job, it now counts twice."
        ),
    ),
    "observations.csv": (
        ObservationRow,
        gettext_noop(
            "{file}: for {count} of the rows, such as row {row}, the shop has an observation of "
            "this person, level and day already. If it is the same one, it now counts twice."
        ),
    ),
}
SAME = ("person__login", "level__name", "happened_on")


def worth_knowing(now: datetime, tell: Callable[[str], None] | None = None) -> Iterator[str]:
    """Voids that cancel nothing, what only an owner gives and somebody else gave, sign-offs that
    hold nothing up, jobs that nobody entitled did or watched, write-ups that do not rehearse.

    `tell` hears how far it is.
    """
    shop, tell = gather(), tell or (lambda _: None)
    asking = asking_of(shop, now)
    yield from _voids_of_nothing(shop)
    yield from _by_no_owner(shop)
    yield from _signoffs(shop, asking, tell)
    yield from _jobs(shop, asking, tell)
    tell(gettext("Rehearsing the write-ups"))
    yield from _writeups()


def list_rows_not_yet(delivery: Delivery, now: datetime) -> Iterator[str]:
    """Each row of something done on a day, or known from an instant, that has not come yet: most
    are a slip in the year.
    """
    today = now.astimezone(ZoneInfo(time_zone_of_shop())).date()
    for file in DONE:
        for row in delivery.rows(file):
            if row["on"] > today:
                yield gettext(
                    "{file}, row {row}: {day} has not come yet. The row counts from then on."
                ).format(file=row.file, row=row.row, day=say_day(row["on"]))
            elif row["recorded_at"] and row["recorded_at"] > now:
                yield gettext(
                    "{file}, row {row}: {at} has not come yet. The row is not known before then."
                ).format(file=row.file, row=row.row, at=row["recorded_at"].isoformat())
    yield from _releases(delivery, today)


def list_halves(delivery: Delivery) -> Iterator[str]:
    """Each level that asks for jobs to stay current without a number of months, or the other way:
    then nothing is asked, as an empty cell says.
    """
    for row in delivery.rows("levels.csv"):
        if bool(row["practice_jobs"]) is not bool(row["practice_months"]):
            yield gettext(
                "{file}, row {row}: practice_jobs and practice_months belong together. With one of "
                "them alone, nobody has to stay current."
            ).format(file=row.file, row=row.row)


def _releases(delivery: Delivery, today: date) -> Iterator[str]:
    released: dict[str, date] = {}
    for one in sorted(delivery.revisions, key=lambda one: (one.writeup, one.number)):
        day = date.fromisoformat(one.parsed.released) if one.parsed.released else today
        if day > today:
            yield gettext(
                "{file}: {day} has not come yet. The revision counts from then on."
            ).format(file=one.file, day=say_day(day))
        before = released.get(one.writeup, date.min)
        if day < before:
            yield gettext(
                "{file}: released on {day}, before an earlier revision ({before})."
            ).format(file=one.file, day=say_day(day), before=say_day(before))
        released[one.writeup] = max(day, before)


def list_rows_again(delivery: Delivery) -> Iterator[str]:
    """For each file whose rows are counted: that the shop has some like them already. Ask before
    the delivery is written.
    """
    for file, (model, text) in COUNTED.items():
        rows = delivery.rows(file)
        there = set(model._default_manager.values_list(*SAME)) if rows else set()
        found = [row for row in rows if (row["login"], row["level"], row["on"]) in there]
        if found:
            first = found[0]
            yield gettext(text).format(file=first.file, count=len(found), row=first.row)


def _voids_of_nothing(shop: Shop) -> Iterator[str]:
    kept: dict[tuple[str, str, str, object], list[datetime]] = defaultdict(list)
    for kind, rows in (
        ("signoff", shop.signoffs),
        ("job", shop.jobs),
        ("pass", shop.passings),
        ("observation", shop.observations),
    ):
        for row in rows:
            kept[kind, row.person, row.level, row.on].append(row.recorded_at)
    for reading in shop.readings:
        kept["reading", reading.person, reading.writeup, reading.on].append(reading.recorded_at)
    for void in shop.voids:
        recorded = kept.get((void.kind, void.person, void.about, void.on), ())
        if not any(at <= void.recorded_at for at in recorded):
            yield gettext(
                "{kind} of {person}, {about}, {day}: a row cancels it, but nothing like it was "
                "recorded by then. Look at the day and at recorded_at of that row."
            ).format(kind=void.kind, person=void.person, about=void.about, day=say_day(void.on))


def _by_no_owner(shop: Shop) -> Iterator[str]:
    """First sign-offs and appointments; they count whoever gave them, since owners change."""
    owners = {one.login for one in shop.people if one.owner}
    for row in shop.signoffs:
        if row.founding and row.signer not in owners:
            yield gettext(
                "first sign-off of {person}, {level}, {day}: {signer}, who gave it, is not an "
                "owner today. It counts all the same."
            ).format(person=row.person, level=row.level, day=say_day(row.on), signer=row.signer)
    for one in shop.appointments:
        if one.by not in owners:
            yield gettext(
                "{person} may sign off {level} from {day}: {by}, who said so, is not an owner "
                "today. It counts all the same."
            ).format(person=one.person, level=one.level, day=say_day(one.first), by=one.by)


def _signoffs(shop: Shop, asking: Asking, tell: Callable[[str], None]) -> Iterator[str]:
    for place, row in enumerate(shop.signoffs, start=1):
        looking = gettext("Looking at sign-off {place} of {count}")
        tell(looking.format(place=place, count=len(shop.signoffs)))
        # A row that is recorded later than this moment counts for nothing yet, so it is no news.
        if row.recorded_at <= asking.known.at and not asking.entitled(row):
            yield gettext(
                "sign-off of {person}, {level}, {day}: the signer was not allowed to sign, so it "
                "does not count."
            ).format(person=row.person, level=row.level, day=say_day(row.on))


def _jobs(shop: Shop, asking: Asking, tell: Callable[[str], None]) -> Iterator[str]:
    for place, row in enumerate(shop.jobs, start=1):
        looking = gettext("Looking at job {place} of {count}")
        tell(looking.format(place=place, count=len(shop.jobs)))
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
            yield ngettext(
                "write-up {name}, revision {number}: its rehearsal finds {count} error, such as: "
                "{error}",
                "write-up {name}, revision {number}: its rehearsal finds {count} errors, such as: "
                "{error}",
                len(errors),
            ).format(name=name, number=number, count=len(errors), error=say(errors[0].remark))
