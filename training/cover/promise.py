"""What would the standing be if a plan were carried out, and what may it promise?

Every plan goes through here before it is shown: its lines are put beside the shop's own entries, as
if done on their days, and the standing is asked for every day. What it does not give is cut from
the promise.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import date

from training.cover.days import Done
from training.cover.gaps import DayCover
from training.cover.options import pick_study_day
from training.cover.plan import Ground, Line, Plan
from training.cover.release import Standings
from training.standing.entitlement import Asking
from training.standing.evidence import Job, Observation, Passing, Reading, Shop, SignOff


def plan_with_promise(asking: Asking, ground: Ground, plan: Plan) -> Plan:
    """The plan with the cover that the standing gives when its lines are carried out.

    Each line counts from the day after its last week. What the plan's own model said more is cut.
    Where it said less, the plan is better than it knew, and another might be better still.
    """
    if not plan.lines:
        return plan
    first, until = plan.days[0].day, max(day.day for day in plan.days)
    shop = shop_with_done(asking, ground, plan.lines)
    # A fresh Asking: nothing that was worked out without the plan may slip in.
    held = Standings(Asking(shop, asking.known.at), first, until)
    days = tuple(_given(ground, plan, held, day) for day in plan.days)
    # What is more is no fault of the plan and is not counted against what is less.
    cut = sum(len(set(a.there) - set(b.there)) for a, b in zip(plan.days, days, strict=True))
    # Proven means best by its own model: where the model was wrong, nothing is.
    is_as_said = all(set(a.there) == set(b.there) for a, b in zip(plan.days, days, strict=True))
    return replace(plan, days=days, cut=cut, is_proven=plan.is_proven and is_as_said)


def _given(ground: Ground, plan: Plan, held: Standings, day: DayCover) -> DayCover:
    # Signed in the midst of the week they may be alone by then; a line promises the next one only.
    learning = {line.task.person for line in plan.lines if day.day in ground.week(line.option.ends)}
    kept = [who for who in day.there if held.is_alone(who, day.level, day.day)]
    more = [
        who
        for who in dict.fromkeys(line.task.person for line in plan.lines)
        if who not in day.there
        and who not in learning
        and ground.is_at_work(who, day.workshop, day.day)
        and held.is_alone(who, day.level, day.day)
    ]
    return replace(day, there=(*kept, *more))


def shop_with_done(asking: Asking, ground: Ground, lines: Collection[Line]) -> Shop:
    """The shop with what these lines would leave on record, so that the standing itself can be
    asked.
    """
    readings, passings, jobs, seen, signed = (
        list[Reading](),
        list[Passing](),
        list[Job](),
        list[Observation](),
        list[SignOff](),
    )
    at, shop = asking.known.at, asking.shop
    for line in lines:
        person, level = line.key
        done = days_of_line(ground, line)
        rules = asking.books.on(done.signed_on).rules[level]
        readings += done.readings(asking, person, rules)
        passings.append(done.passing(person, level, at))
        jobs += _jobs(asking, ground, line)
        seen += [done.observation(person, level, who, at) for who in _observers(line)]
        # Not founding: that the signer is entitled by then is what is being checked.
        signed.append(done.signoff(person, level, at, founding=False))
    return replace(
        shop,
        readings=(*shop.readings, *readings),
        passings=(*shop.passings, *passings),
        jobs=(*shop.jobs, *jobs),
        observations=(*shop.observations, *seen),
        signoffs=(*shop.signoffs, *signed),
    )


def days_of_line(ground: Ground, line: Line) -> Done:
    """On which days the line's study and signature fall."""
    option = line.option
    return Done(pick_study_day(ground, line.task, option.ends), option.signed_on, option.signer)


def _observers(line: Line) -> tuple[str, ...]:
    """Who sees each piece of work: first those who have not seen any yet, the rest the signer."""
    # The signer stands first and comes last: they see whatever is left over anyway.
    new = [who for who in reversed(line.seniors) if who not in line.task.seen_by]
    chosen = new[: line.task.observers][: line.task.seen]
    return (*chosen, *[line.option.signer] * (line.task.seen - len(chosen)))


def _jobs(asking: Asking, ground: Ground, line: Line) -> Iterator[Job]:
    """The watched jobs, each on the first day on which the two meet."""
    task, at = line.task, asking.known.at
    for number in range(task.jobs):
        # In turn, as the hours were spread; the standing does not ask who watched.
        watcher = line.seniors[number % len(line.seniors)]
        variant = task.lacking[number : number + 1]
        day = _first_meeting(ground, line, watcher)
        yield Job(task.person, task.level, day, watcher, variant, False, at, at)


def _first_meeting(ground: Ground, line: Line, senior: str) -> date:
    days = (
        day
        for week in line.option.span
        for day in ground.week(week)
        if ground.meet(line.task.person, senior, day)
    )
    # `kept` and the programme have seen to a meeting; the signature's own day is one.
    return next(days, line.option.signed_on)
