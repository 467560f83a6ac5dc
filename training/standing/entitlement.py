"""Is a person alone, watched or neither at a level on a day, and was a signer entitled to give a
sign-off?

The two ask for each other: a standing rests on a sign-off, and that on the signer's standing on the
day of signing. While a signer's own standing is asked, sign-offs of that same day count only when
founding, so the days go down with each step and nobody can hold up whoever holds them up.
"""

from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime
from typing import Literal

from training.standing.evidence import Appointment, Job, Limits, Shop, SignOff
from training.standing.known import Known
from training.standing.levels import RuleBook, RuleBooks
from training.standing.question import Asked, as_question, questions_covered
from training.standing.results import Reason
from training.standing.rules.held import Held, held_by
from training.standing.rules.rule import Case, Rule
from training.standing.rules.ruleset import RULES, RuleSet

__all__ = ["Asked", "Asking", "StandingWord", "as_question"]

StandingWord = Literal["alone", "watched", "no"]

_SHALLOW = 20
"""So many sign-offs can rest on each other without going too deep for the interpreter's stack."""


class Asking:
    """Answers questions about one shop as known at one instant, and remembers what it has worked
    out.
    """

    def __init__(
        self, shop: Shop, known_at: datetime, without: SignOff | None = None, rules: RuleSet = RULES
    ) -> None:
        self.shop = shop
        self.known = Known(shop, known_at, without)
        self.books = RuleBooks(shop.files.versions)
        self.rules = rules
        self._alone: dict[Asked, bool] = {}
        self._watched: dict[Asked, bool] = {}
        self._entitled: dict[int, bool] = {}
        self._job_days: dict[tuple[str, tuple[str, ...]], list[date]] = {}
        self._settled: set[str] = set()
        self._depth = 0

    def case(self, asked: Asked, limits: Limits = ()) -> Case | None:
        """Return what the rules are asked about; None where the shop has no such level on the
        day.
        """
        book = self.books.on(asked.day)
        rules = book.rules.get(asked.level)
        return None if rules is None else Case(self, asked, rules, book, limits)

    def case_at(self, asked: Asked, limits: Limits = ()) -> Case:
        """Return what the rules are asked about; raises NotInShopError for a level that the shop
        does not have.
        """
        book = self.books.on(asked.day)
        return Case(self, asked, book.of(asked.level), book, limits)

    def standing(self, asked: Asked) -> StandingWord:
        """Return the standing: alone, watched or no."""
        if self.alone(asked):
            return "alone"
        return "watched" if self.watched(asked) else "no"

    def alone(self, asked: Asked) -> bool:
        """Say whether every rule of being alone holds."""
        if asked not in self._alone:
            case = self.case(asked)
            self._alone[asked] = case is not None and _all_hold(self.rules.alone, case)
        return self._alone[asked]

    def watched(self, asked: Asked) -> bool:
        """Say whether the standing is at least watched."""
        if asked not in self._watched:
            case = self.case(asked)
            self._watched[asked] = self.alone(asked) or (
                case is not None and _all_hold(self.rules.watched, case)
            )
        return self._watched[asked]

    def hopeful(self, level: str, day: date) -> Callable[[str], bool]:
        """Return a quick test of a person: False when nothing on record could make the standing at
        the level any but no.
        """
        alone, watched = (
            self._possible(rules, level, day) for rules in (self.rules.alone, self.rules.watched)
        )
        return lambda person: (
            all(test(person) for test in alone) or all(test(person) for test in watched)
        )

    def _possible(
        self, rules: tuple[Rule, ...], level: str, day: date
    ) -> list[Callable[[str], bool]]:
        asked = self.books.on(day).of(level)
        tests = (rule.possible(self.shop.files, asked) for rule in rules)
        return [test for test in tests if test is not None]

    def own_reasons(self, case: Case) -> Iterator[Reason]:
        """Give why somebody is not alone at a level, other levels left aside."""
        for rule in self.rules.reasons:
            if not rule.asks_other_levels:
                yield from rule.look(case).reasons

    def held_by(self, case: Case) -> Held | None:
        """Return the sign-off by which the person of a case is judged."""
        return held_by(case)

    def signoffs(self, asked: Asked) -> list[SignOff]:
        """Return the sign-offs that count by the day, the latest first, entitled or not."""
        return [
            row
            for row in reversed(self.known.signoffs(asked.person, asked.level))
            if row.on < asked.day or (row.on == asked.day and (row.founding or not asked.as_signer))
        ]

    def jobs(self, person: str, level: str, book: RuleBook) -> Iterable[Job]:
        """Give the jobs that keep a person in practice at a level: its own and those of levels it
        comes before.
        """
        return (
            job
            for feeding in book.fed_by.get(level, (level,))
            for job in self.known.jobs(person, feeding)
        )

    def job_days(self, person: str, level: str, book: RuleBook) -> list[date]:
        """Return the days of those jobs in order."""
        key = (person, book.fed_by.get(level, (level,)))
        if key not in self._job_days:
            self._job_days[key] = sorted(job.on for job in self.jobs(person, level, book))
        return self._job_days[key]

    def entitled(self, row: SignOff) -> bool:
        """Say whether a sign-off is founding, or by somebody else, appointed and alone for all that
        it covers.
        """
        key = id(row)
        if key not in self._entitled:
            self._depth += 1
            if self._depth == _SHALLOW:
                self.settle(row.person)
            self._entitled[key] = row.founding or (
                row.signer != row.person
                and self.appointment(row.signer, row.level, row.on) is not None
                and self._alone_for_all(row)
            )
            self._depth -= 1
        return self._entitled[key]

    def appointment(self, signer: str, level: str, day: date) -> Appointment | None:
        """Return an appointment of the signer for the level that covers the day."""
        rows = self.known.appointments(signer, level)
        return next(
            (row for row in rows if row.first <= day and (row.until is None or day <= row.until)),
            None,
        )

    def _alone_for_all(self, row: SignOff) -> bool:
        """Say whether its signer was alone on the day for all that a sign-off covers."""
        questions = questions_covered(row.limits)
        return bool(questions) and all(
            self.alone(Asked(row.signer, row.level, row.on, q, True)) for q in questions
        )

    def settle(self, person: str) -> None:
        """Work out each sign-off that a standing can rest on, oldest first, so that no chain of
        signers runs deeper.

        Each then rests on some that are worked out already.
        """
        waiting, rows = [person], list[SignOff]()
        while waiting:
            login = waiting.pop()
            if login in self._settled:
                continue
            self._settled.add(login)
            for level in self.shop.files.signoffs.drawer(login):
                rows += self.known.signoffs(login, level)
                waiting += [
                    row.signer for row in self.known.signoffs(login, level) if not row.founding
                ]
        for row in sorted(rows, key=lambda row: row.on):
            self.entitled(row)


def _all_hold(rules: tuple[Rule, ...], case: Case) -> bool:
    return all(rule.look(case).holds for rule in rules)
