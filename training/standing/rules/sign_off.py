"""Is there a sign-off that covers the question and has not ended, and was it given by somebody
entitled to?
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from datetime import date

from training.standing.calendar import add_days, add_months
from training.standing.evidence import Files, LevelRules, Shop, SignOff
from training.standing.naming import name_entries, name_entry
from training.standing.results import SIGNATURE, Args, Asks, Reason, Step, Support
from training.standing.rules.rule import HOLDS, Case, Finding, Rule, fails, holds


class SignedOff(Rule):
    """`no-sign-off`, `variant-not-covered`, `sign-off-ended`: a sign-off covers the question and is
    valid still.
    """

    name = "sign-off"
    steps = {
        "no-sign-off": Step("sign-off", "senior", SIGNATURE),
        "variant-not-covered": Step("widen-sign-off", "senior", SIGNATURE),
        "sign-off-ended": Step("renew-sign-off", "senior", SIGNATURE),
    }
    yardstick = "29 CFR 1910.178(l)(4)(iii): an evaluation at least once in three years"

    def look(self, case: Case) -> Finding:
        held = case.held
        if held is None:
            return fails(lambda: Reason("no-sign-off", (("title", case.rules.title),)))
        row = held.row
        # Asked once by `held_by`, signer and changes with it: nothing here needs a second look.
        if held.is_sound:
            return holds(lambda: _valid_until(case, row))
        faults = list[Callable[[], Reason]]()
        if not held.covers(case):
            faults.append(lambda: _fault(case, row, "variant-not-covered", limits=row.limits))
        if not held.is_valid(case):
            faults.append(lambda: _fault(case, row, "sign-off-ended", last=_last_day(case, row)))
        if faults:
            return fails(*faults)
        # It holds although nobody can rest on it: signer and changes tell what is wrong.
        return holds(lambda: _valid_until(case, row))

    def asks(self, case: Case) -> Asks:
        return Asks("sign-off", (("months", case.rules.valid_months),))

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        return (Asks("valid-months", (("months", rules.valid_months),)),)

    def days(self, case: Case, until: date) -> Iterator[date]:
        for row in case.known.signoffs(case.person, case.rules.level):
            yield row.on
            yield add_days(_last_day(case, row), 1)

    # Void sign-offs and those not known yet are among them: none is read for this.
    def candidates(self, files: Files, rules: LevelRules, day: date) -> Collection[str]:
        # A month's end may put this a day or two early, which only adds somebody to be looked at.
        first = add_months(day, -rules.valid_months)
        return files.signoffs.people_between(rules.level, first, day)


class Signer(Rule):
    """`signer-not-entitled`: the sign-off is founding, or by somebody else, appointed, and alone at
    the level on that day for all that it covers.
    """

    name = "signer"
    steps = {"signer-not-entitled": Step("sign-afresh", "senior", SIGNATURE)}
    yardstick = "14 CFR 65.81(a): nobody approves work that they have not done well themselves"
    # Behind the sign-off itself, since the signer's whole standing is asked.
    cost = 2

    def look(self, case: Case) -> Finding:
        held = case.held
        if held is None:
            return HOLDS
        row = held.row
        # A sound one is entitled by what `rests` asked; its signer need not be asked again.
        if not held.is_sound and not held.is_entitled(case):
            why = _why_not_entitled(case, row)
            title = case.rules.title
            return fails(lambda: _fault(case, row, "signer-not-entitled", why=why, title=title))
        return HOLDS if row.founding else holds(lambda: _appointed(case, row))

    def asks(self, case: Case) -> Asks | None:
        return Asks("signer") if case.held is not None else None


def _last_day(case: Case, row: SignOff) -> date:
    return add_months(row.on, case.rules.valid_months)


def _valid_until(case: Case, row: SignOff) -> tuple[Support, ...]:
    return (Support(name_entry(case.known, row), row.on, "valid-until", _last_day(case, row)),)


def _fault(case: Case, row: SignOff, code: str, **more: object) -> Reason:
    args: Args = (("day", row.on), ("signer", case.known.name(row.signer)), *more.items())
    return Reason(code, args, name_entries(case.known, [row]))


def _why_not_entitled(case: Case, row: SignOff) -> str:
    # In the order of *entitled*: oneself, the appointment, then being alone.
    if row.signer == row.person:
        return "signed for oneself"
    if case.asking.appointment(row.signer, row.level, row.on) is None:
        return "not appointed"
    return "not alone"


def _appointed(case: Case, row: SignOff) -> tuple[Support, ...]:
    found = case.asking.appointment(row.signer, row.level, row.on)
    return (Support(name_entry(case.known, found), found.first),) if found is not None else ()
