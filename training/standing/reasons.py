"""Why is a person not alone at a level, and what is still missing: in a mechanic's words, in the
order of the rules?
"""

from collections.abc import Iterable, Iterator
from datetime import date

from training.standing import rules as rule
from training.standing.calendar import months, written
from training.standing.entitlement import Asked, Asking
from training.standing.evidence import Job, LevelRules, Limits, SignOff
from training.standing.missing import unfulfilled, unstudied
from training.standing.wording import Reason, and_list, counted, kept


def reasons(asking: Asking, asked: Asked) -> tuple[Reason, ...]:
    """Return every failing rule; with no sign-off also what is missing before one, for `no` also
    what watched asks.

    A person who is alone has none. Each code comes once.
    """
    if asking.alone(asked):
        return ()
    rules = asking.books.on(asked.day).rules[asked.level]
    found = failing_rules(asking, asked)
    if not asking.signoffs(asked):
        found += unfulfilled(asking, asked.person, rules, asked.day)
    else:  # whoever is watched has these, so that for them nothing is added
        found += unstudied(asking, asked.person, rules, asked.day)
    return tuple(found)


def failing_rules(asking: Asking, asked: Asked) -> list[Reason]:
    """Return a reason for each of the rules 1 to 7 that fails."""
    rules = asking.books.on(asked.day).rules[asked.level]
    return [*own_failures(asking, asked, rules), *_earlier(asking, asked, rules)]


def own_failures(asking: Asking, asked: Asked, rules: LevelRules) -> Iterator[Reason]:
    """Give a reason for each of the rules 1 to 6 that fails, without looking at earlier levels."""
    for check in (_not_here, _stood_down, _signoff, _practice, _changes):
        yield from check(asking, asked, rules)


def _not_here(asking: Asking, asked: Asked, rules: LevelRules) -> Iterable[Reason]:
    person = asking.known.person(asked.person)
    if rule.is_here(person, asked.day):
        return
    if person is None:
        yield Reason("not-here", f"{asked.person} is not among the shop's people.")
    elif person.left is not None and person.left < asked.day:
        yield Reason("not-here", f"{person.name} left; the last day was {written(person.left)}.")
    elif person.started is not None:
        yield Reason("not-here", f"{person.name} starts on {written(person.started)}.")


def _stood_down(asking: Asking, asked: Asked, rules: LevelRules) -> Iterable[Reason]:
    rows = rule.standdowns_in_force(asking.known, asked.person, asked.level, asked.day)
    if rows:
        said = [
            f"from {rules.title if row.level else 'all work'} since {written(row.first)} by "
            f"{asking.known.name(row.by)}"
            for row in rows
        ]
        yield Reason("stood-down", f"Stood down {and_list(said)}.", kept(rows))


def told_signoff(asking: Asking, asked: Asked) -> SignOff | None:
    """Return the sign-off whose faults are told: the latest that counts.

    Of several of that day it is the one with the fewest faults, and rather one by an entitled
    signer.
    """
    rows = asking.signoffs(asked)
    if not rows:
        return None
    rules = asking.books.on(asked.day).rules[asked.level]
    same_day = (row for row in rows if row.on == rows[0].on)
    return min(
        same_day,
        key=lambda row: (len(_faults(asking, asked, rules, row)), not asking.entitled(row)),
    )


def _signoff(asking: Asking, asked: Asked, rules: LevelRules) -> Iterable[Reason]:
    if asking.resting_on(asked) is not None:
        return
    row = told_signoff(asking, asked)
    if row is None:
        yield Reason("no-sign-off", f"No sign-off for {rules.title} yet.")
    else:
        yield from _faults(asking, asked, rules, row)


def _faults(asking: Asking, asked: Asked, rules: LevelRules, row: SignOff) -> list[Reason]:
    """Return what is wrong with one sign-off by rules 3 and 4."""
    what = f"The sign-off of {written(row.on)} by {asking.known.name(row.signer)}"
    found = []
    if not asking.entitled(row):
        why = _why_not_entitled(asking, row, rules)
        found.append(Reason("signer-not-entitled", f"{what} does not hold: {why}.", kept([row])))
    if not rule.covers(row.limits, asked.question):
        found.append(
            Reason(
                "variant-not-covered", f"{what} covers only {limits_said(row.limits)}.", kept([row])
            )
        )
    last = months(row.on, rules.valid_months)
    if asked.day > last:
        found.append(Reason("sign-off-ended", f"{what} ended on {written(last)}.", kept([row])))
    return found


def _why_not_entitled(asking: Asking, row: SignOff, rules: LevelRules) -> str:
    if row.signer == row.person:
        return "nobody signs for themselves"
    if asking.appointment(row.signer, row.level, row.on) is None:
        return f"the signer was not appointed for {rules.title} on that day"
    return f"the signer was not alone at {rules.title} on that day for all that it covers"


def limits_said(limits: Limits) -> str:
    """Return the limits of a sign-off in words: ring: prong or eyelet."""
    return and_list([f"{variant}: {' or '.join(options)}" for variant, options in limits])


def _practice(asking: Asking, asked: Asked, rules: LevelRules) -> Iterable[Reason]:
    if asking.in_practice(asked):
        return
    jobs = jobs_in_window(asking, asked, rules)
    since = written(rule.window_start(rules, asked.day))
    done = counted(len(jobs), rules.practice_jobs, "job")
    yield Reason(
        "out-of-practice", f"{done} since {since}, and no sign-off since then.", kept(jobs)
    )


def jobs_in_window(asking: Asking, asked: Asked, rules: LevelRules) -> list[Job]:
    """Return the jobs that count towards staying in practice on the day, the oldest first."""
    first = rule.window_start(rules, asked.day)
    book = asking.books.on(asked.day)
    jobs = [
        job for job in asking.jobs(asked.person, asked.level, book) if first <= job.on <= asked.day
    ]
    return sorted(jobs, key=lambda job: (job.on, job.recorded_at))


_CHANGE_SAID = {
    "change-not-read": "Not read yet: {}.",
    "change-not-answered": "The quiz is not passed since the release of {}.",
    "change-not-shown": "Not seen done right since the release of {}.",
}


def _changes(asking: Asking, asked: Asked, rules: LevelRules) -> Iterable[Reason]:
    row = told_signoff(asking, asked)
    if row is None or asking.resting_on(asked) is not None:
        return
    yield from _told_changes(
        asking, tuple(rule.changes_overdue(asking.known, row, rules, asked.day))
    )


def still_owed(asking: Asking, asked: Asked, rules: LevelRules) -> tuple[Reason, ...]:
    """Return what releases since the last sign-off ask for and is not there, days of grace or not,
    but for readings.

    A fresh sign-off puts earlier releases behind it, so whoever gives one must have had them
    answered and shown.
    """
    row = told_signoff(asking, asked)
    if row is None:
        return ()
    changes = tuple(rule.changes_since(asking.known, row, rules, asked.day))
    return tuple(
        reason for reason in _told_changes(asking, changes) if reason.code != "change-not-read"
    )


def owed_showings(asking: Asking, asked: Asked) -> frozenset[str]:
    """Return the write-ups whose change somebody signed off has still to show, days of grace or
    not.
    """
    row = told_signoff(asking, asked)
    if row is None:
        return frozenset()
    rules = asking.books.on(asked.day).rules[asked.level]
    changes = rule.changes_since(asking.known, row, rules, asked.day)
    return frozenset(
        proof.revision.writeup for proof in changes if "change-not-shown" in proof.missing()
    )


def in_the_way(asking: Asking, asked: Asked, rules: LevelRules) -> tuple[Reason, ...]:
    """Return what no sign-off can mend: not here, stood down, an earlier level that is not held."""
    checks = (_not_here, _stood_down, _earlier)
    return tuple(reason for check in checks for reason in check(asking, asked, rules))


def _told_changes(asking: Asking, changes: Iterable[rule.Proof]) -> Iterator[Reason]:
    """Give one reason for each code, naming every revision that lacks it."""
    for code, said in _CHANGE_SAID.items():
        revisions = [proof.revision for proof in changes if code in proof.missing()]
        if revisions:
            called = [
                (f"{asking.known.title(r.writeup)} revision {r.number}", written(r.released))
                for r in revisions
            ]
            named = [f"{name} of {released}" for name, released in called]
            evidence = tuple(name for name, _ in called)
            yield Reason(code, said.format(and_list(named)), evidence)


def _earlier(asking: Asking, asked: Asked, rules: LevelRules) -> Iterable[Reason]:
    book = asking.books.on(asked.day)
    if book.in_a_circle(asked.level):
        yield Reason(
            "earlier-level", f"{rules.title} comes, through its earlier levels, before itself."
        )
        return
    said, evidence = [], list[str]()
    for level in dict.fromkeys(rules.earlier):
        there = asked._replace(level=level)
        if level not in book.rules:
            said.append(f"{level} is not among the shop's levels")
        elif not asking.alone(there):
            first = next(own_failures(asking, there, book.rules[level]), None)
            word = "watched" if asking.watched(there) else "no"
            because = f" ({first.text.rstrip('.')})" if first else ""
            said.append(f"at {book.rules[level].title} the standing is {word}{because}")
            evidence += first.evidence if first else ()
    unique = tuple(dict.fromkeys(evidence))
    if said:
        yield Reason("earlier-level", f"An earlier level is not held: {and_list(said)}.", unique)


def ended_by(asking: Asking, asked: Asked, day: date) -> str | None:
    """Return the code of the first rule that fails on a later day."""
    return next((reason.code for reason in failing_rules(asking, asked._replace(day=day))), None)
