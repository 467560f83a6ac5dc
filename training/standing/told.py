"""Why is a person not alone at a level, on what does being alone rest, and what comes next?

All of it is read off the rules: what each found, for the same case.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from training.standing.days import ONE_DAY
from training.standing.entitlement import Asked, Asking
from training.standing.results import Asks, EntryName, NextStep, Reason, Step, Support
from training.standing.rules.rule import Case, Rule
from training.standing.rules.ruleset import RuleSet


def reasons(asking: Asking, asked: Asked) -> tuple[Reason, ...]:
    """Return every failing rule; with no sign-off also what is missing before one, for `no` also
    what watched asks.

    A person who is alone has none. Each code comes once.
    """
    if asking.alone(asked):
        return ()
    case = asking.case_at(asked)
    # Whoever is watched has studied, so that for them nothing is added by that.
    more = asking.rules.study if asking.signoffs(asked) else asking.rules.before
    return (*reasons_of(asking.rules.reasons, case), *reasons_of(more, case))


def reasons_of(rules: Iterable[Rule], case: Case) -> tuple[Reason, ...]:
    """Return the reasons of those rules that do not hold."""
    return tuple(reason for rule in rules for reason in rule.look(case).reasons)


def find_ending_rule(asking: Asking, asked: Asked, day: date) -> str | None:
    """Return the code of the first rule that fails on a later day."""
    case = asking.case(asked._replace(day=day))
    found = reasons_of(asking.rules.reasons, case) if case else ()
    # Of several rules that fail on one day the first in their order is told, as everywhere.
    return found[0].code if found else None


def entries_rested_on(asking: Asking, asked: Asked) -> tuple[EntryName, ...]:
    """Return the names of the entries that somebody's being alone rests on, those of earlier levels
    after its own.
    """
    # By name: a set has no order, and the same answer must read the same each time.
    levels = (asked.level, *sorted(asking.books.on(asked.day).before[asked.level]))
    cases = (asking.case_at(asked._replace(level=level)) for level in levels)
    found = (
        support.name
        for case in cases
        for rule in asking.rules.alone
        for support in rule.look(case).rests_on
    )
    return tuple(dict.fromkeys(filter(None, found)))


@dataclass(frozen=True, slots=True)
class RuleTold:
    """One rule: what it asks, whether it holds, the entries it rests on or the gap, and the
    yardstick behind it.
    """

    name: str
    asks: Asks
    holds: bool
    evidence: tuple[Support, ...]
    gap: tuple[Reason, ...]
    yardstick: str


def explain(asking: Asking, asked: Asked) -> tuple[RuleTold, ...]:
    """Return each rule that the level asks, those of being alone first, then what it asks before a
    sign-off; what each rests on in the order of the days.

    What is asked before a sign-off is told for somebody who has one too: it says what a next
    signing would find.
    """
    case = asking.case_at(asked)
    return tuple(
        _told(rule, asks, case)
        for rule in (*asking.rules.alone, *asking.rules.before)
        if (asks := rule.asks(case)) is not None
    )


def _told(rule: Rule, asks: Asks, case: Case) -> RuleTold:
    found = rule.look(case)
    # One without a day ("enough until") sums up the others and comes last.
    evidence = sorted(found.rests_on, key=lambda support: support.on or date.max)
    return RuleTold(rule.name, asks, found.holds, tuple(evidence), found.reasons, rule.yardstick)


def steps_for(rules: RuleSet, reasons: Iterable[Reason], title: str) -> tuple[NextStep, ...]:
    """Return what to do about the reasons, in the order of doing: what comes first, and the
    sign-off last of all.
    """
    steps, given = rules.steps, tuple(reasons)
    codes = {reason.code for reason in given}
    # "Get into practice" says nothing to whoever was never signed off.
    todo = [
        (steps[reason.code], reason)
        for reason in given
        if steps[reason.code].needless_with not in codes
    ]
    # The sort is stable: within a turn the order of the rules stays.
    return tuple(step.at(title, reason) for step, reason in sorted(todo, key=_turn))


def _turn(due: tuple[Step, Reason]) -> int:
    step, _reason = due
    return step.turn


def steps_to_keep(asking: Asking, asked: Asked, lapse: date) -> tuple[NextStep, ...]:
    """Return what, done by the day before, keeps a standing from falling on the day on which it
    lapses: a step for each rule that fails then, at the level and at each that comes before it.
    """
    # Two levels can ask the same of somebody, who has to do it once.
    return tuple(dict.fromkeys(_kept(asking, asked._replace(day=lapse))))


def _kept(asking: Asking, asked: Asked) -> Iterator[NextStep]:
    before = asking.books.on(asked.day).before.get(asked.level, ())
    for level in (asked.level, *sorted(before)):
        case = asking.case(asked._replace(level=level))
        if case is None:
            continue
        for rule in asking.rules.reasons:
            # Those levels are walked here themselves.
            if rule.asks_other_levels:
                continue
            for reason in rule.look(case).reasons:
                yield rule.keep(case, reason, asked.day - ONE_DAY)
