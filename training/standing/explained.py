"""Does each rule of a level hold for this person on this day, and by which entries, or what is the
gap?
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from training.standing import rules as rule
from training.standing.calendar import days_on, first_day_out_of_window, months, written
from training.standing.entitlement import Asked, Asking, asks_practice
from training.standing.evidence import LevelRules
from training.standing.missing import unfulfilled
from training.standing.reasons import failing_rules, jobs_in_window, told_signoff
from training.standing.wording import Reason, and_list, kept
from training.standing.yardsticks import YARDSTICKS


@dataclass(frozen=True, slots=True)
class RuleTold:
    """One rule: what it asks, whether it holds, the entries it rests on or the gap, and the
    yardstick behind it.
    """

    name: str
    asks: str
    holds: bool
    evidence: tuple[str, ...]
    gap: tuple[str, ...]
    yardstick: str


_CODES = {
    "here": ("not-here",),
    "stood-down": ("stood-down",),
    "sign-off": ("no-sign-off", "variant-not-covered", "sign-off-ended"),
    "signer": ("signer-not-entitled",),
    "practice": ("out-of-practice",),
    "changes": ("change-not-read", "change-not-answered", "change-not-shown"),
    "earlier": ("earlier-level",),
    "readings": ("not-read",),
    "quiz": ("quiz-not-passed", "critical-wrong"),
    "watched-jobs": ("too-few-watched-jobs",),
    "observations": ("not-observed",),
}


def explained(asking: Asking, asked: Asked) -> tuple[RuleTold, ...]:
    """Return each rule that the level asks, those of being alone first, then what it asks before a
    sign-off.

    What is asked before a sign-off is told for somebody who has one too: it says what a next
    signing would find.
    """
    rules = asking.books.on(asked.day).rules[asked.level]
    failing = [*failing_rules(asking, asked), *unfulfilled(asking, asked.person, rules, asked.day)]
    support = _support(asking, asked, rules)
    return tuple(
        _told(
            name,
            asks,
            [reason for reason in failing if reason.code in _CODES[name]],
            support.get(name, _nothing),
        )
        for name, asks in _asked(asking, asked, rules)
    )


def _told(
    name: str, asks: str, failing: list[Reason], support: Callable[[], tuple[str, ...]]
) -> RuleTold:
    return RuleTold(
        name,
        asks,
        holds=not failing,
        evidence=() if failing else support(),
        gap=tuple(reason.text for reason in failing),
        yardstick=YARDSTICKS.get(name, ""),
    )


def _nothing() -> tuple[str, ...]:
    return ()


def _asked(asking: Asking, asked: Asked, rules: LevelRules) -> Iterator[tuple[str, str]]:
    """Give the name and the sentence of each rule that the level has."""
    book = asking.books.on(asked.day)
    yield "here", "At work here on that day."
    yield "stood-down", "Not stood down."
    yield (
        "sign-off",
        f"A sign-off that covers this fork, valid for {counted_months(rules.valid_months)}.",
    )
    is_signed = bool(asking.signoffs(asked))
    if is_signed:
        yield "signer", "Signed by somebody appointed who was alone at it on that day, or founding."
    if asks_practice(rules):
        jobs = "1 job" if rules.practice_jobs == 1 else f"{rules.practice_jobs} jobs"
        since = (
            f" Asked after {written(rule.last_day_unasked(rules, rules.practice_from))}."
            if rules.practice_from
            else ""
        )
        yield (
            "practice",
            f"In practice: {jobs} in {counted_months(rules.practice_months)}, or a sign-off "
            f"in them.{since}",
        )
    if rules.writeups and is_signed:
        days = f"within {rules.grace_days} days" if rules.grace_days else "at once"
        yield "changes", f"What a release since the sign-off asks for, {days}."
    if rules.earlier:
        titles = [
            book.rules[level].title if level in book.rules else level for level in rules.earlier
        ]
        yield "earlier", f"Alone at {and_list(titles)}."
    if rules.writeups:
        titles = [asking.known.title(name) for name in rules.writeups]
        yield "readings", f"Before a sign-off: the current revision of {and_list(titles)} read."
    if rules.pass_percent:
        yield (
            "quiz",
            "Before a sign-off: the latest sitting of the quiz passed with "
            f"{rules.pass_percent} %, every critical question right.",
        )
    if rules.watched_jobs or rules.watched_per_option:
        each = ", at least one for every option of a fork" if rules.watched_per_option else ""
        yield "watched-jobs", f"Before a sign-off: watched jobs, {rules.watched_jobs}{each}."
    if rules.observations or rules.observers:
        by = f", by {rules.observers} different observers" if rules.observers > 1 else ""
        yield (
            "observations",
            f"Before a sign-off: observations done right, {rules.observations}{by}.",
        )


def counted_months(number: int) -> str:
    """Return a number of months in words: 1 month, 24 months."""
    return "1 month" if number == 1 else f"{number} months"


def _support(
    asking: Asking, asked: Asked, rules: LevelRules
) -> dict[str, Callable[[], tuple[str, ...]]]:
    """Return for each rule a way to name, in the order of their days, the entries by which it
    holds.
    """
    known, person, day = asking.known, asked.person, asked.day
    signoff = asking.resting_on(asked) or told_signoff(asking, asked)

    def signed() -> tuple[str, ...]:
        if signoff is None:
            return ()
        last = months(signoff.on, rules.valid_months)
        return (f"{signoff.ref}, valid until {written(last)}",)

    def signer() -> tuple[str, ...]:
        if signoff is None or signoff.founding:
            return ()
        return kept(filter(None, [asking.appointment(signoff.signer, signoff.level, signoff.on)]))

    def practice() -> tuple[str, ...]:
        jobs = jobs_in_window(asking, asked, rules)[-rules.practice_jobs :]
        if len(jobs) < rules.practice_jobs:
            fresh = asking.fresh_signoff(asked, rule.window_start(rules, day))
            last = fresh and days_on(first_day_out_of_window(fresh.on, rules.practice_months), -1)
            return (f"{fresh.ref}, counts until {written(last)}",) if fresh and last else ()
        last = days_on(first_day_out_of_window(jobs[0].on, rules.practice_months), -1)
        return (*kept(jobs), f"enough until {written(last)}")

    def changes() -> tuple[str, ...]:
        proofs = rule.changes_since(known, signoff, rules, day) if signoff else ()
        shown = [
            row
            for proof in proofs
            for row in (proof.reading, proof.passing, proof.observation)
            if row is not None
        ]
        shown.sort(key=lambda row: row.on)
        return kept(shown)

    def readings() -> tuple[str, ...]:
        current = {row.writeup: row.number for row in rule.current_revisions(known, rules, day)}
        rows = [row for name in current for row in known.readings(person, name)]
        read = [row for row in rows if row.on <= day and row.revision == current[row.writeup]]
        read.sort(key=lambda row: row.on)
        return kept(read)

    def quiz() -> tuple[str, ...]:
        return kept(filter(None, [rule.latest_sitting(known, person, rules, day)]))

    shown = rule.shown(known, person, rules, day, asking.shop.options.get(rules.level, ()))
    return {
        "sign-off": signed,
        "signer": signer,
        "practice": practice,
        "changes": changes,
        "readings": readings,
        "quiz": quiz,
        "watched-jobs": lambda: kept(shown.watched),
        "observations": lambda: kept(shown.seen_right),
    }
