"""What is the best plan of a small random shop, by trying every one, and what does it give?

Written from the words of the design only; of the product it asks the standing function, day by
day, and nothing of `training.cover` but the plan that it holds against its own. Lines are carried
out on paper as the design says: readings and pass on the first day of a line's last week, the
sign-off on the last day of that week on which learner and signer are at work in one workshop (or,
to see that this changes nothing, on the week's very last day), counted from the day after the week.

    python -m tests.training.plan_shops 1 500          every plan of 500 small shops
    python -m tests.training.plan_shops 1 500 large    feeds the plans of larger ones back only
"""

import calendar
import os
import random
import sys
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from functools import cached_property
from itertools import combinations, product
from math import ceil

import django
from scipy.optimize import linprog

from tests.training.standing_shop import (
    appoint,
    days,
    job,
    level,
    person,
    read,
    revision,
    sat,
    seen,
    shop,
    sign,
    stand_down,
    with_rows,
)
from training.standing.answer import standings
from training.standing.evidence import Observation, Passing, Reading, SignOff

MONDAY = date(2026, 11, 30)
KNOWN = datetime(2026, 11, 30, 6, tzinfo=UTC)
PLACES = ("main", "branch")


@dataclass(frozen=True)
class Small:
    """One shop: its records, who works where on which weekdays, who is away, what is wanted, and
    how much is learnt and taught in a day.
    """

    records: object
    shifts: dict
    away: frozenset
    wanted: dict
    weeks: int
    own_a_day: float
    senior_a_day: float
    at_once: int

    @cached_property
    def people(self):
        return {one.login: one for one in self.records.people}

    @cached_property
    def seniors(self):
        return [one.login for one in self.records.people if one.trade == "senior"]

    @cached_property
    def rules(self):
        return {one.level: one for one in self.records.levels}

    @cached_property
    def until(self):
        return days(MONDAY, 7 * self.weeks - 1)

    def week(self, number):
        return [days(MONDAY, 7 * number + day) for day in range(7)]

    def is_here(self, who, day):
        one = self.people[who]
        return (not one.started or one.started <= day) and (not one.left or day <= one.left)

    def at_work(self, who, place, day):
        works = day.weekday() in self.shifts.get((who, place), ())
        return self.is_here(who, day) and works and (who, day) not in self.away

    def works(self, who, day):
        return any(self.at_work(who, place, day) for place in PLACES)

    def meet(self, one, other, day):
        return one != other and any(
            self.at_work(one, place, day) and self.at_work(other, place, day) for place in PLACES
        )

    def stopped(self, who, lvl, day):
        levels = {lvl, *self.rules[lvl].earlier}
        return any(
            row.person == who
            and (row.level is None or row.level in levels)
            and row.first <= day
            and (row.lifted_on is None or day < row.lifted_on)
            for row in self.records.standdowns
        )

    def learns(self, who, lvl, day):
        return self.works(who, day) and not self.stopped(who, lvl, day)

    def appointed(self, who, lvl, day):
        return any(
            row.person == who
            and row.level == lvl
            and row.first <= day
            and (row.until is None or day <= row.until)
            for row in self.records.appointments
        )


@dataclass(frozen=True)
class Piece:
    """One line of a plan: who gets which level, in which weeks, signed by whom on which day."""

    who: str
    lvl: str
    kind: str
    begins: int
    ends: int
    signer: str
    signed_on: date


# --- a random shop


def _levels(rng):
    def one(name, earlier=()):
        practice = rng.choice(((0, 0), (0, 0), (1, 1), (1, 3)))
        return level(
            name,
            earlier=earlier,
            writeups=rng.choice(((), ("sheet",))),
            valid_months=rng.choice((1, 1, 6, 24, 24)),
            practice_jobs=practice[0],
            practice_months=practice[1],
            watched_jobs=rng.choice((0, 0, 1, 2)),
            observations=rng.choice((0, 1)),
            observers=rng.choice((0, 0, 1, 2)),
            pass_percent=rng.choice((0, 75)),
            grace_days=rng.choice((0, 3, 14)),
        )

    levels = [one("lower")]
    if rng.random() < 0.6:
        levels.append(one("air", rng.choice(((), ("lower",), ("lower",)))))
    return levels


def _person(rng, login, trade):
    started, left = "2020-01-01", None
    if rng.random() < 0.25:
        started = days(MONDAY, rng.randint(0, 12))
    if rng.random() < 0.2:
        left = days(MONDAY, rng.randint(5, 20))
    return replace(person(login, started, left), trade=trade)


def _entries(rng, who, levels, *, is_senior):
    rows = []
    for one in levels:
        if rng.random() < (0.9 if is_senior else 0.35):
            rows.append(sign(who, days(MONDAY, -rng.randint(1, 33)), lvl=one.level))
        if is_senior and rng.random() < 0.85:
            until = days(MONDAY, rng.randint(0, 20)) if rng.random() < 0.2 else None
            rows.append(appoint(who, one.level, until=until))
        if rng.random() < 0.5:
            rows.append(sat(who, days(MONDAY, -rng.randint(1, 33)), lvl=one.level))
        if rng.random() < 0.4:
            rows.append(seen(who, days(MONDAY, -rng.randint(1, 40)), "wim", lvl=one.level))
        for _ in range(rng.randint(0, 2)):
            watcher = rng.choice((None, "wim"))
            rows.append(job(who, days(MONDAY, -rng.randint(1, 90)), one.level, watcher))
        if rng.random() < 0.07:
            first = days(MONDAY, rng.randint(-5, 12))
            lifted = rng.choice((None, days(first, rng.randint(1, 12))))
            down = stand_down(who, first, lifted, one.level, KNOWN, lifted and KNOWN)
            rows.append(down)
    if rng.random() < 0.6:
        rows.append(read(who, rng.choice((1, 2)), days(MONDAY, -rng.randint(1, 20))))
    return rows


def _later_rules(rng, levels, weeks):
    """Now and then other rules of a level from a day within the span on."""
    for one in levels:
        if rng.random() < 0.3:
            yield replace(
                one,
                from_day=days(MONDAY, rng.randint(0, 7 * weeks)),
                valid_months=rng.choice((1, 2, 12)),
                practice_jobs=rng.choice((0, 1)),
                practice_months=2,
            )


def grow(seed, *, large=False):
    """Random shop number `seed`; the same number gives the same shop. A large one has more people
    and weeks than every plan could be tried for, and rules that change.
    """
    rng = random.Random(f"plan {seed} {large}")
    weeks = rng.choice((5, 8) if large else (2, 3))
    levels = _levels(rng)
    people = [_person(rng, "sol", "senior")]
    if rng.random() < 0.5:
        people.append(_person(rng, "uma", "senior"))
    learning = ("ana", "kim", "tom", "lea") if large else ("ana", "kim")[: rng.choice((1, 1, 2))]
    people += [_person(rng, who, "mechanic") for who in learning]
    rows = [revision(1, "2026-01-05")]
    rows += _later_rules(rng, levels, weeks) if large else ()
    if rng.random() < 0.4:
        asks = rng.choice(("read again", "answer again", "show again"))
        rows.append(revision(2, days(MONDAY, -rng.randint(1, 20)), asks))
    for one in people:
        rows += _entries(rng, one.login, levels, is_senior=one.trade == "senior")
    is_easy = rng.random() < 0.6
    work = (
        (range(5), range(6), range(5))
        if is_easy
        else (range(5), (0, 1, 2), (2, 3, 4), (1, 3), (5, 6), range(7))
    )
    shifts = {}
    for one in people:
        places = ("main",) if rng.random() < 0.7 else rng.sample(PLACES, rng.randint(1, 2))
        for place in places:
            shifts[one.login, place] = frozenset(rng.choice(work))
    away = frozenset(
        (one.login, days(MONDAY, day))
        for one in people
        for day in range(7 * weeks)
        if rng.random() < 0.04
    )
    wanted = {
        ("main", one.level): tuple(rng.choice((0, 1, 2, 2, 3)) for _ in range(7)) for one in levels
    }
    return Small(
        shop(people, levels, rows),
        shifts,
        away,
        wanted,
        weeks,
        rng.choice((2.0, 3.0) if is_easy else (0.5, 1.0, 2.0)),
        rng.choice((1.0, 2.0) if is_easy else (0.25, 0.5, 1.0)),
        rng.choice((1, 1, 2)),
    )


# --- carried out on paper


def entries_of(small, piece, signed_on=None):
    """What one piece leaves on record, at the moment that the plan is made."""
    who, lvl = piece.who, piece.lvl
    on, signed_on = small.week(piece.ends)[0], signed_on or piece.signed_on
    newest = max(row.number for row in small.records.revisions)
    rows = [Passing(who, lvl, on, 100, True, KNOWN)]
    rows += [Reading(who, name, newest, on, KNOWN) for name in small.rules[lvl].writeups]
    rows.append(Observation(who, lvl, signed_on, piece.signer, True, KNOWN))
    rows.append(SignOff(who, lvl, signed_on, piece.signer, (), False, KNOWN))
    return rows


class OnPaper:
    """Who is alone on a day of a week with pieces carried out whose last week is over by then?"""

    def __init__(self, small, *, signed_at_the_end=False):
        self.small, self._asked = small, {}
        self.signed_at_the_end = signed_at_the_end

    def alone(self, pieces, week):
        """Every (person, level, day) of the week that is alone."""
        over = frozenset(piece for piece in pieces if piece.ends < week)
        key = (over, week)
        if key not in self._asked:
            rows = [
                row
                for piece in over
                for row in entries_of(
                    self.small,
                    piece,
                    self.small.week(piece.ends)[-1] if self.signed_at_the_end else None,
                )
            ]
            told = with_rows(self.small.records, *rows)
            self._asked[key] = frozenset(
                (who, lvl, day)
                for day in self.small.week(week)
                for (who, lvl), word in standings(told, self.small.rules, day, KNOWN, {}).items()
                if word == "alone"
            )
        return self._asked[key]

    def missing(self, pieces):
        """The person-days missing, with what is carried out."""
        return sum(missing for *_, missing in self.cover(pieces))

    def cover(self, pieces):
        """(workshop, level, day, who is there, how many are missing)."""
        for week in range(self.small.weeks):
            alone = self.alone(pieces, week)
            for day in self.small.week(week):
                for (place, lvl), by_weekday in self.small.wanted.items():
                    there = {
                        who
                        for who in self.small.people
                        if self.small.at_work(who, place, day) and (who, lvl, day) in alone
                    }
                    want = by_weekday[day.weekday()]
                    if want:
                        yield place, lvl, day, there, max(want - len(there), 0)


# --- every plan there is


def needs(small, who, lvl, kind):
    """(own hours, of them with a senior, weeks, different observers still needed, seen by)."""
    rules, of = small.rules[lvl], small.records
    current = max(row.number for row in of.revisions)
    has_read = any(r.person == who and r.revision == current for r in of.readings)
    sittings = [r for r in of.passings if r.person == who and r.level == lvl]
    has_quiz = not rules.pass_percent or bool(sittings)
    study = 0.5 * (not has_read) * len(rules.writeups) + 0.25 * (not has_quiz)
    if kind == "renew":
        return study + 1.25, 1.25, 1, 0, frozenset()
    signed = any(r.person == who and r.level == lvl for r in of.signoffs)
    done = sum(1 for r in of.jobs if r.person == who and r.level == lvl and r.watched_by)
    views = [r.observer for r in of.observations if r.person == who and r.level == lvl]
    jobs = max(rules.watched_jobs - done, 0)
    new = max(rules.observers - len(set(views)), 0)
    shows = max(rules.observations - len(views), new, int(signed))
    together = jobs + shows + 0.25
    return study + 2 * jobs + shows + 0.25, together, 1 + ceil(jobs / 2), new, frozenset(views)


def ways(small, paper, who, lvl, kind):
    """Every piece that somebody could do at a level, whoever signs it."""
    length = needs(small, who, lvl, kind)[2]
    for ends in range(length - 1, small.weeks):
        for signer in small.seniors:
            common = [
                day
                for day in small.week(ends)
                if small.learns(who, lvl, day)
                and small.meet(who, signer, day)
                and small.appointed(signer, lvl, day)
                and small.appointed(signer, lvl, small.week(ends)[-1])
            ]
            held = paper.alone((), ends)
            sure = [day for day in common if (signer, lvl, day) in held]
            if (signer, lvl, small.week(ends)[-1]) not in held:
                sure = []
            if common:
                on = (sure or common)[-1]
                yield Piece(who, lvl, kind, ends - length + 1, ends, signer, on)


def lacks(small, who, lvl):
    """Whether something is missing at the level itself on a day on which they could work at it."""
    rules = [replace(one, earlier=()) if one.level == lvl else one for one in small.records.levels]
    alone = replace(small.records, levels=tuple(rules))
    return any(
        standings(alone, [lvl], day, KNOWN, {}, [who])[who, lvl] != "alone"
        for week in range(small.weeks)
        for day in small.week(week)
        if small.is_here(who, day) and not small.stopped(who, lvl, day)
    )


def choices(small, paper, who, lvl):
    """Nothing, one piece, or two that follow each other. Nobody is trained who lacks nothing."""
    if not lacks(small, who, lvl):
        return [()]
    signed = any(r.person == who and r.level == lvl for r in small.records.signoffs)
    # What a signature asks is asked again at a renewal, and may never have been written down.
    own, _, _, new, seen_by = needs(small, who, lvl, "train")
    more = own > needs(small, who, lvl, "renew")[0] or (new and seen_by)
    first = list(ways(small, paper, who, lvl, "train" if more or not signed else "renew"))
    again = list(ways(small, paper, who, lvl, "renew"))
    pairs = [(one, two) for one in first for two in again if one.ends < two.begins]
    return [(), *((one,) for one in first), *pairs]


def cost(small, pieces):
    total = 0
    for piece in pieces:
        own, together, *_ = needs(small, piece.who, piece.lvl, piece.kind)
        total += own + together + _new_quiz(small, piece)
    return total


def _new_quiz(small, piece):
    """A quarter of an hour where a pass there is runs out before the signature."""
    rules = small.rules[piece.lvl]
    passed = [
        r.on for r in small.records.passings if r.person == piece.who and r.level == piece.lvl
    ]
    if not rules.pass_percent or not passed:
        return 0
    years, month = divmod(max(passed).month - 1 + rules.valid_months, 12)
    year, month = max(passed).year + years, month + 1
    last = date(year, month, min(max(passed).day, calendar.monthrange(year, month)[1]))
    return 0 if piece.signed_on <= last else 0.25


def is_possible(small, paper, pieces):
    """Each rule by itself, in the words of the design."""
    for piece in pieces:
        earlier = small.rules[piece.lvl].earlier
        begins = [d for d in small.week(piece.begins) if small.learns(piece.who, piece.lvl, d)]
        if not begins:
            return False
        at_start, at_end = paper.alone(pieces, piece.begins), paper.alone(pieces, piece.ends)
        for name in earlier:
            if (piece.who, name, begins[0]) not in at_start:
                return False
            if (piece.who, name, piece.signed_on) not in at_end:
                return False
        for day in (piece.signed_on, small.week(piece.ends)[-1]):
            if (piece.signer, piece.lvl, day) not in at_end:
                return False
    for week in range(small.weeks):
        running = [piece for piece in pieces if piece.begins <= week <= piece.ends]
        for who in {piece.who for piece in running}:
            if sum(1 for piece in running if piece.who == who) > small.at_once:
                return False
    return _hours_suffice(small, paper, pieces)


def _hours_suffice(small, paper, pieces):
    """Hours are spread over days and seniors; where different observers are asked, every choice of
    them is tried.
    """
    picks = []
    for piece in pieces:
        _, _, _, new, seen_by = needs(small, piece.who, piece.lvl, piece.kind)
        others = [who for who in small.seniors if who not in seen_by and who != piece.who]
        picks.append(list(combinations(others, new)))
    return any(_spread(small, paper, pieces, pick) for pick in product(*picks))


def _spread(small, paper, pieces, observers):
    """One linear programme over all days: hours of a piece with a senior on a day, and alone."""
    names, place = [], {}
    for piece in pieces:
        for week in range(piece.begins, piece.ends + 1):
            alone = paper.alone(pieces, week)
            for day in small.week(week):
                if not small.works(piece.who, day):
                    continue
                names.append((piece, None, day))
                if small.learns(piece.who, piece.lvl, day):
                    names += [
                        (piece, senior, day)
                        for senior in small.seniors
                        if small.meet(piece.who, senior, day) and (senior, piece.lvl, day) in alone
                    ]
    place = {name: number for number, name in enumerate(names)}
    equal, at_least, at_most = [], [], []

    def terms(keep):
        return {number for name, number in place.items() if keep(*name)}

    for piece, eyes in zip(pieces, observers, strict=True):
        own, together, weeks, *_ = needs(small, piece.who, piece.lvl, piece.kind)
        own += _new_quiz(small, piece)
        for week in range(piece.begins, piece.ends + 1):
            of = set(small.week(week))

            def mine(one, senior, day, piece=piece, of=of):
                return one is piece and day in of

            equal.append((terms(lambda *n, m=mine: m(*n) and n[1]), together / weeks))
            equal.append((terms(lambda *n, m=mine: m(*n) and not n[1]), (own - together) / weeks))
        last = set(small.week(piece.ends))
        signs = terms(lambda o, s, d, p=piece, w=last: o is p and s == p.signer and d in w)
        at_least.append((signs, 0.25))
        for senior in eyes:
            more = 0.25 if senior == piece.signer else 0
            watched = terms(lambda o, s, d, p=piece, who=senior: o is p and s == who)
            at_least.append((watched, 1.0 + more))
    for day in (day for week in range(small.weeks) for day in small.week(week)):
        for who in small.people:
            learnt = terms(lambda o, s, d, who=who, day=day: o.who == who and d == day)
            taught = terms(lambda o, s, d, who=who, day=day: s == who and d == day)
            at_most += [(learnt, small.own_a_day), (taught, small.senior_a_day)]
    return _solves(len(names), equal, at_least, at_most)


def _solves(size, equal, at_least, at_most):
    if any(not row and value > 1e-9 for row, value in (*equal, *at_least)):
        return False
    if not size:
        return True

    def matrix(rows, sign=1.0):
        return [[sign if column in row else 0.0 for column in range(size)] for row, _ in rows]

    at_most = [row for row in at_most if row[0]]
    found = linprog(
        [0.0] * size,
        A_eq=matrix(equal) or None,
        b_eq=[value for _, value in equal] or None,
        A_ub=matrix(at_most) + matrix(at_least, -1.0) or None,
        b_ub=[value for _, value in at_most] + [-value for _, value in at_least] or None,
    )
    return found.status == 0


def every_choice(small, paper, most=500):
    """All plans there are; None where they are too many to try."""
    options = [choices(small, paper, who, lvl) for lvl in small.rules for who in small.people]
    number = 1
    for one in options:
        number *= len(one)
    if number > most:
        return None
    return [tuple(piece for part in parts for piece in part) for parts in product(*options)]


def best_by_trying(small, paper, plans):
    """The fewest missing, then the fewest hours."""
    ranked = sorted(
        ((paper.missing(plan), cost(small, plan), number) for number, plan in enumerate(plans))
    )
    for missing, hours, number in ranked:
        if is_possible(small, paper, plans[number]):
            return missing, hours
    raise AssertionError("doing nothing is always possible")


# --- the plan of the product, as pieces


def drafted_of(small):
    """What the product makes its plan of a small shop on."""
    from training.cover.options import PlanSpan
    from training.cover.rota import Away, Rota, Shift
    from training.reports.plan import PlanAsked, draft

    rota = Rota(
        [Shift(who, place, weekdays) for (who, place), weekdays in small.shifts.items()],
        [Away(who, day, day) for who, day in small.away],
    )
    asked = PlanAsked(small.weeks, small.own_a_day, small.senior_a_day, small.at_once)
    span = PlanSpan(MONDAY, MONDAY, small.weeks)
    return draft(small.records, rota, small.wanted, asked, span, KNOWN)


def planned(small):
    """The product's plan of a small shop, and its lines as pieces."""
    plan = drafted_of(small).plan()
    pieces = tuple(
        Piece(
            line.task.person,
            line.task.level,
            line.task.kind,
            line.option.begins,
            line.option.ends,
            line.seniors[0],
            line.option.signed_on,
        )
        for line in plan.lines
    )
    return plan, pieces


def broken_promises(small, paper, plan, pieces):
    """Every (day, level, person) that the plan promises and the standing does not give."""
    given = {(place, lvl, day): there for place, lvl, day, there, _ in paper.cover(pieces)}
    return [
        (day.workshop, day.level, day.day, who)
        for day in plan.days
        for who in day.there
        if who not in given[day.workshop, day.level, day.day]
    ]


def other_than_best(small, paper, plan, most=500):
    """The best by trying and what the plan gives, where they differ; None where they do not, or
    there are too many plans to try them.
    """
    plans = every_choice(small, paper, most)
    if plans is None:
        return None
    best = best_by_trying(small, paper, plans)
    given = (plan.missing, plan.hours)
    return (
        None if all(abs(a - b) < 1e-6 for a, b in zip(best, given, strict=True)) else (best, given)
    )


def main(first, last, *, large):
    """Print what is wrong with the plans of some shops; how many are."""
    wrong, plans, lines = 0, 0, 0
    for seed in range(first, last + 1):
        small = grow(seed, large=large)
        paper = OnPaper(small)
        plan, pieces = planned(small)
        plans, lines = plans + bool(pieces), lines + len(pieces)
        faults = [
            plan.cut,
            broken_promises(small, paper, plan, pieces),
            broken_promises(small, OnPaper(small, signed_at_the_end=True), plan, pieces),
            not large and other_than_best(small, paper, plan, 3000),
        ]
        if any(faults):
            wrong += 1
            print(seed, *faults)
    print(f"{last - first + 1} shops, {plans} with a plan, {lines} lines, {wrong} wrong")
    return wrong


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
    django.setup()
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2]), large="large" in sys.argv) > 0)
