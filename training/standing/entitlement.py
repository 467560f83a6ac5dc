"""Is a person alone, watched or neither at a level on a day, and was a signer entitled to give a
sign-off?

The two ask for each other: a standing rests on a sign-off, and that on the signer's standing on the
day of signing. While a signer's own standing is asked, sign-offs of that same day count only when
founding, so the days go down with each step and nobody can hold up whoever holds them up.
"""

from collections.abc import Collection, Iterable, Iterator
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal
from zoneinfo import ZoneInfo

from training.standing.evidence import Appointment, Job, LevelRules, Limits, Shop, SignOff
from training.standing.known import Known
from training.standing.levels import RuleBook, RuleBooks
from training.standing.question import (
    NOTHING_NAMED,
    Asked,
    OptionsNamed,
    as_question,
    join_options,
    questions_covered,
)
from training.standing.results import Reason
from training.standing.rules.held import Held, signoff_held
from training.standing.rules.rule import Case, Rule
from training.standing.rules.ruleset import RULES, RuleSet

# An answer is put together by asking this module: a circle at import time.
if TYPE_CHECKING:
    from training.standing.answer import Answer

__all__ = ["Asked", "Asking", "StandingWord", "as_question", "asking_of"]

StandingWord = Literal["alone", "watched", "no"]

_SHALLOW = 20
"""So many sign-offs can rest on each other without going too deep for the interpreter's stack."""


MOST_ASKINGS = 4
"""So many moments of knowledge are kept for one shop."""
# 2,000 people at 40 levels are 80,000 pairs for one day: memory would else grow with each day
# asked.
MOST_ANSWERS = 200_000
"""After so many remembered answers, an Asking makes place for a fresh one."""


class Asking:
    """Answers questions about one shop as known at one instant, and remembers what it has worked
    out.
    """

    def __init__(self, shop: Shop, known_at: datetime, rules: RuleSet = RULES) -> None:
        self.shop = shop
        self.known = Known(shop, known_at)
        self.books = RuleBooks(shop.files.versions)
        self.rules = rules
        self._for_alone, self._for_watched = map(_cheap_first, (rules.alone, rules.watched))
        self._alone: dict[Asked, bool] = {}
        self._watched: dict[Asked, bool] = {}
        # By id: quicker than a hash over the fields of a row,
        # and looked up for every sign-off of every case.
        self._entitled: dict[int, tuple[SignOff, bool]] = {}
        self.answers: dict[Asked, Answer] = {}
        self.tables: dict[object, dict[tuple[str, str], StandingWord]] = {}
        self._job_days: dict[tuple[str, tuple[str, ...]], list[date]] = {}
        self._settled: set[str] = set()
        self._depth = 0

    @property
    def is_full(self) -> bool:
        """Say whether so much is remembered that it is time for a fresh one."""
        return len(self._alone) + len(self._watched) + len(self.answers) > MOST_ANSWERS

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
        found = self._alone.get(asked)
        if found is None:
            case = self.case(asked)
            found = self._alone[asked] = case is not None and _all_hold(self._for_alone, case)
        return found

    def watched(self, asked: Asked) -> bool:
        """Say whether the standing is at least watched."""
        found = self._watched.get(asked)
        if found is None:
            case = self.case(asked)
            found = self.alone(asked) or (case is not None and _all_hold(self._for_watched, case))
            self._watched[asked] = found
        return found

    def table(
        self, people: Iterable[str], levels: Iterable[str], day: date, question: OptionsNamed
    ) -> dict[tuple[str, str], StandingWord]:
        """Return the standing of each person at each level; only those are looked at for whom it
        may be another one than no.
        """
        people, found = tuple(people), dict[tuple[str, str], StandingWord]()
        hopes = list[tuple[str, Collection[str], Collection[str]]]()
        for level in levels:
            asked = self.books.on(day).of(level)
            alone, watched = (
                self._candidates(rules, asked, day, people)
                for rules in (self.rules.alone, self.rules.watched)
            )
            hopes.append((level, alone, watched))
        for person in people:
            for level, may_be_alone, may_be_watched in hopes:
                word: StandingWord = "no"
                if person in may_be_alone:
                    word = self.standing(Asked(person, level, day, question))
                elif person in may_be_watched:
                    one = Asked(person, level, day, question)
                    # They are no candidate, so that the rules of
                    # alone need not be asked by `watched` again.
                    self._alone[one] = False
                    word = "watched" if self.watched(one) else "no"
                found[person, level] = word
        return found

    def _candidates(
        self, rules: tuple[Rule, ...], asked: LevelRules, day: date, people: Collection[str]
    ) -> Collection[str]:
        for rule in rules:
            some = rule.candidates(self.shop.files, asked, day)
            # None is "anybody may", which an empty set is not.
            if some is not None:
                people = frozenset(people) & frozenset(some)
        return people

    def own_reasons(self, case: Case) -> Iterator[Reason]:
        """Give why somebody is not alone at a level, other levels left aside."""
        for rule in self.rules.reasons:
            if not rule.asks_other_levels:
                yield from rule.look(case).reasons

    def held_by(self, case: Case) -> Held | None:
        """Return the sign-off by which the person of a case is judged."""
        return signoff_held(case)

    def signoffs(self, asked: Asked) -> list[SignOff]:
        """Return the sign-offs that count by the day, the latest first, entitled or not."""
        return [
            row
            # The second condition is the last sentence of *entitled*: on the signer's own day
            # only founding counts, so that A signs B and B signs A on one day holds up neither.
            for row in reversed(self.known.signoffs(asked.person, asked.level))
            if row.on < asked.day or (row.on == asked.day and (row.founding or not asked.as_signer))
        ]

    def limits_of(self, person: str, level: str, day: date) -> list[Limits]:
        """Return the limits of each sign-off of somebody at a level or at one that comes before it:
        an earlier level that is held for some forks only limits what holds at this one.
        """
        levels = (level, *self.books.on(day).before.get(level, ()))
        return [row.limits for name in levels for row in self.known.signoffs(person, name)]

    def questions_of(self, person: str, level: str, day: date) -> list[OptionsNamed]:
        """Return the question that names nothing and those that tell apart for which forks somebody
        is signed off, at a level or at one that comes before it.
        """
        limits = self.limits_of(person, level, day)
        every = (*limits, join_options(limits))
        asked = (question for some in every for question in questions_covered(some))
        # Each once, and in one order: a set has none.
        return list(dict.fromkeys((NOTHING_NAMED, *asked)))

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
            # A chain of a few hundred signers, each signed off by the one before, would break the
            # stack.
            self._depth += 1
            if self._depth == _SHALLOW:
                self.settle(row.person)
            is_entitled = row.founding or (
                # Cheapest first: being alone opens the signer's own record, and theirs in turn.
                row.signer != row.person
                and self.appointment(row.signer, row.level, row.on) is not None
                and self._alone_for_all(row)
            )
            # With the row, whose id is then never another's.
            self._entitled[key] = (row, is_entitled)
            self._depth -= 1
        return self._entitled[key][1]

    def appointment(self, signer: str, level: str, day: date) -> Appointment | None:
        """Return an appointment of the signer for the level that covers the day."""
        rows = self.known.appointments(signer, level)
        return next(
            (row for row in rows if row.first <= day and (row.until is None or day <= row.until)),
            None,
        )

    def _alone_for_all(self, row: SignOff) -> bool:
        """Say whether its signer was alone on the day for all that a sign-off covers."""
        if not row.limits:
            return self.alone(Asked(row.signer, row.level, row.on, NOTHING_NAMED, True))
        # No combination at all (a variant limited to no option) is not "alone for all": it stays
        # refused.
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
        # Days only go down along a chain of signers, so that by age each finds its own support
        # worked out.
        for row in sorted(rows, key=lambda row: row.on):
            self.entitled(row)


def asking_of(shop: Shop, known_at: datetime) -> Asking:
    """Return the Asking of this shop and moment, with all that it has worked out before."""
    key = moment_of(shop, known_at)
    asking = shop.askings.get(key)
    if asking is None or asking.is_full:
        shop.askings.pop(key, None)
        # Moments before the newest entry each stand for themselves and would else pile up.
        while len(shop.askings) >= MOST_ASKINGS:
            del shop.askings[next(iter(shop.askings))]
        asking = shop.askings[key] = Asking(shop, known_at)
    return asking


def moment_of(shop: Shop, known_at: datetime) -> object:
    """Return what all moments have in common at which the same is known: the day, from the newest
    entry on; before it, each moment stands for itself.
    """
    # The day and not nothing: which revisions are known goes by it.
    if shop.newest is None or known_at < shop.newest:
        return known_at
    return known_at.astimezone(ZoneInfo(shop.time_zone)).date()


def _cheap_first(rules: tuple[Rule, ...]) -> tuple[Rule, ...]:
    """Return the rules in the order in which they are asked: what is quickly seen comes first."""
    return tuple(sorted(rules, key=lambda rule: rule.cost))


def _all_hold(rules: tuple[Rule, ...], case: Case) -> bool:
    for rule in rules:  # noqa: SIM110 - this is asked most often of all, and a loop is quicker
        if not rule.look(case).holds:
            return False
    return True
