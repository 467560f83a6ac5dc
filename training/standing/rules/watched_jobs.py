"""Has the person done enough jobs with somebody watching?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from training.standing.evidence import Job, LevelRules, Limits, Shop
from training.standing.known import Known
from training.standing.naming import name_entries, supports
from training.standing.question import join_options
from training.standing.results import OWN_DOING, Asks, Reason, Step
from training.standing.rules.rule import Case, Finding, Rule, fails, holds


@dataclass(frozen=True, slots=True)
class Watched:
    """The watched jobs that somebody has done, and the options that none of them had."""

    jobs: tuple[Job, ...]
    options_lacking: tuple[tuple[str, str], ...]


def watched_jobs(
    known: Known, person: str, rules: LevelRules, day: date, options: Limits
) -> Watched:
    """Return the watched jobs by the day; `options` are those with each of which one may be
    asked.
    """
    jobs = known.jobs(person, rules.level)
    # A folder may leave the watcher empty, or name the person: neither was watched.
    watched = tuple(
        row for row in jobs if row.on <= day and row.watched_by not in (None, "", person)
    )
    if not rules.watched_per_option:
        return Watched(watched, ())
    done = {pair for row in watched for pair in row.variant}
    asked = ((variant, option) for variant, its_options in options for option in its_options)
    return Watched(watched, tuple(pair for pair in asked if pair not in done))


def options_of_level(shop: Shop, rules: LevelRules) -> Limits:
    """Return the variants and options of a level's write-ups, by one version of its rules."""
    # Of that version: one that begins next year has other write-ups, and asks nothing today.
    return join_options(shop.options.get(name, ()) for name in rules.writeups)


class WatchedJobs(Rule):
    """`too-few-watched-jobs`: enough jobs were watched by somebody else, in all and with each
    option.

    Before a sign-off with limits only their options need one, for the variants that they limit.
    """

    name = "watched-jobs"
    steps = {
        "too-few-watched-jobs": Step(
            "do-watched-jobs",
            "person",
            OWN_DOING,
            of_level=False,
            carries=("done", "asked", "lacking"),
        )
    }
    yardstick = "29 CFR 1910.178(l)(2): learns only under somebody able to train and to judge"

    def look(self, case: Case) -> Finding:
        limited = dict(case.limits)
        every = options_of_level(case.asking.shop, case.rules)
        # Of the variants that it does not limit a job with each option is asked still.
        options = tuple((name, limited.get(name, all_)) for name, all_ in every)
        found = watched_jobs(case.known, case.person, case.rules, case.day, options)
        if len(found.jobs) < case.rules.watched_jobs or found.options_lacking:
            return fails(lambda: _why(case, found))
        return holds(lambda: supports(case.known, found.jobs))

    def asks(self, case: Case) -> Asks | None:
        jobs, per_option = case.rules.watched_jobs, case.rules.watched_per_option
        if not jobs and not per_option:
            return None
        return Asks("watched-jobs", (("jobs", jobs), ("per_option", per_option)))

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        if not rules.watched_jobs and not rules.watched_per_option:
            return ()
        args = (("jobs", rules.watched_jobs), ("per_option", rules.watched_per_option))
        return (Asks("watched-first", args),)

    def days(self, case: Case, until: date) -> Iterator[date]:
        return (row.on for row in case.known.jobs(case.person, case.rules.level))


def _why(case: Case, found: Watched) -> Reason:
    counts = (("done", len(found.jobs)), ("asked", case.rules.watched_jobs))
    lacking = (("lacking", found.options_lacking),)
    return Reason("too-few-watched-jobs", (*counts, *lacking), name_entries(case.known, found.jobs))
