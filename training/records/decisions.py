"""What does a signer decide on: why it is asked now, what is out of the ordinary, and each rule
with its evidence and outcome?
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext

from training.models import Job
from training.records.benchwork import say_outside
from training.records.wording.asks import say_asks, say_support
from training.records.wording.entries import say_entry
from training.records.wording.reasons import say_reason
from training.standing import evidence
from training.standing.entitlement import Asked, as_question, asking_of
from training.standing.evidence import Limits, Shop
from training.standing.known import Known
from training.standing.naming import name_entry
from training.standing.results import EntryName
from training.standing.rules.quiz import is_pass
from training.standing.rules.rule import Case, Rule
from training.standing.rules.ruleset import CHANGES, PRACTICE, RULES, SIGNED_OFF, SIGNER
from training.standing.told import reasons_of


@dataclass(frozen=True, slots=True)
class RuleShown:
    """One rule of the level: what it asks, whether it holds, and the entries or what is missing."""

    asks: str
    holds: bool
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Decision:
    """What is put before the signer, in words; all of it goes into the digest."""

    why_now: tuple[str, ...] = ()
    exceptions: tuple[str, ...] = ()
    rules: tuple[RuleShown, ...] = ()

    def as_said(self) -> dict[str, object]:
        """The same as plain values."""
        return {
            "why_now": list(self.why_now),
            "exceptions": list(self.exceptions),
            "rules": [[one.asks, one.holds, list(one.says)] for one in self.rules],
        }


def decision_on(
    shop: Shop, login: str, level: str, on: date, now: datetime, limits: Limits
) -> Decision:
    """What a sign-off of this person at this level on this day is decided on; nothing for a level
    without rules.
    """
    # A level that was named and never given rules: its page must open, to say so.
    if level not in shop.files.versions:
        return Decision()
    asking = asking_of(shop, now)
    case = asking.case_at(Asked(login, level, on, as_question({})), limits)
    return Decision(_why_now(case), tuple(_exceptions(case, level, on)), tuple(_rules(case)))


def _why_now(case: Case) -> tuple[str, ...]:
    """What a signature would mend; without any, until when the last one holds."""
    # These four a fresh signature mends; what it cannot mend stands among the rules.
    lacking = tuple(
        say_reason(reason) for reason in reasons_of((SIGNED_OFF, SIGNER, PRACTICE, CHANGES), case)
    )
    if lacking:
        return lacking
    text = gettext("May work alone already: {sign_off}. A new sign-off takes its place.")
    rests = SIGNED_OFF.look(case).rests_on
    return tuple(text.format(sign_off=say_support(support)) for support in rests)


def _rules(case: Case) -> Iterator[RuleShown]:
    """What the level asks before a sign-off; what fails comes first."""
    bars = tuple(rule for rule in RULES.reasons if rule.bars_signing)
    shown = [one for rule in (*bars, *RULES.before) if (one := _rule(rule, case))]
    # Here and not in `before`: only a renewal can owe something.
    owed = tuple(say_reason(reason) for reason in CHANGES.owed(case))
    if owed:
        shown.append(RuleShown(gettext("What changed since the last sign-off."), False, owed))
    # Failing ones first (False sorts before True), each part in its own order.
    yield from sorted(shown, key=lambda one: one.holds)


def _rule(rule: Rule, case: Case) -> RuleShown | None:
    asks = rule.asks(case)
    if asks is None:
        return None
    found = rule.look(case)
    if not found.holds:
        return RuleShown(say_asks(asks), False, tuple(map(say_reason, found.reasons)))
    told = _told(case)
    supports = sorted(found.rests_on, key=lambda support: support.on or date.max)
    # Jobs are told with watcher and fork: a signer judges by them whether the work was varied
    # enough.
    says = (told.get(support.name, say_support(support)) for support in supports)
    return RuleShown(say_asks(asks), True, tuple(dict.fromkeys(says)))


def _told(case: Case) -> dict[EntryName | None, str]:
    """The watched jobs by the name of their entry, with who watched and on which fork."""
    found: dict[EntryName | None, list[str]] = {}
    for row in case.known.jobs(case.person, case.rules.level):
        if row.on <= case.day and row.watched_by:
            # Two jobs of one day share a name, and both are told beside it.
            found.setdefault(name_entry(case.known, row), []).append(_job(case.known, row))
    return {name: "; ".join(dict.fromkeys(words)) for name, words in found.items()}


def _job(known: Known, row: evidence.Job) -> str:
    job = say_entry(name_entry(known, row))
    fork = ", ".join(f"{name} {option}" for name, option in row.variant)
    text = (
        gettext("{job}, supervised by {name}").format(job=job, name=known.name(row.watched_by))
        if row.watched_by
        else gettext("{job}, alone").format(job=job)
    )
    return f"{text} ({fork})" if fork else text


def _exceptions(case: Case, level: str, on: date) -> Iterator[str]:
    """What a signer should look at although it stands in no one's way, the newest first."""
    rows = [*_not_passed(case, on), *_not_right(case, on), *_of_jobs(case, level, on)]
    # Sorted by text within a day, so that the same sheet has the same digest.
    yield from (text for _, text in sorted(rows, reverse=True))


def _not_passed(case: Case, on: date) -> Iterator[tuple[date, str]]:
    for row in case.known.passings(case.person, case.rules.level):
        if row.on <= on and case.rules.pass_percent and not is_pass(row, case.rules):
            why = (
                gettext("{sitting}, not passed (pass mark {percent} %)")
                if row.critical_right
                else gettext("{sitting}, not passed: a critical question was wrong")
            )
            sitting = say_entry(name_entry(case.known, row))
            yield row.on, why.format(sitting=sitting, percent=case.rules.pass_percent)


def _not_right(case: Case, on: date) -> Iterator[tuple[date, str]]:
    for row in case.known.observations(case.person, case.rules.level):
        if row.on <= on and not row.right:
            observation = say_entry(name_entry(case.known, row))
            yield row.on, gettext("{observation}: not right").format(observation=observation)


def _of_jobs(case: Case, level: str, on: date) -> Iterator[tuple[date, str]]:
    counting = [row for row in case.known.jobs(case.person, level) if row.on <= on]
    for row in counting:
        if row.came_back:
            yield row.on, gettext("{job}: the bike came back").format(job=_job(case.known, row))
    # By the days of counting jobs: measured values are not among the rows of the standing.
    days = {row.on for row in counting}
    jobs = Job.objects.filter(person__login=case.person, level__name=level, happened_on__in=days)
    for happened_on, values in jobs.exclude(values=[]).values_list("happened_on", "values"):
        outside = say_outside(values)
        if outside:
            text = gettext("A value outside its range in a job: {values}")
            yield happened_on, text.format(values=outside)
