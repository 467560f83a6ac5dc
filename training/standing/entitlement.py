"""Is a person alone, watched or neither at a level on a day, and was a signer entitled to give a
sign-off?

The two ask for each other: a standing rests on a sign-off, and that on the signer's standing on the
day of signing. While a signer's own standing is asked, sign-offs of that same day count only when
founding, so the days go down with each step and nobody can hold up whoever holds them up.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import Literal, NamedTuple

from training.standing import rules as rule
from training.standing.calendar import days_on, months
from training.standing.evidence import Appointment, Job, LevelRules, Limits, Shop, SignOff
from training.standing.known import Known
from training.standing.levels import RuleBook, RuleBooks

StandingWord = Literal["alone", "watched", "no"]

_SHALLOW = 20
"""So many sign-offs can rest on each other without going too deep for the interpreter's stack."""


class Asked(NamedTuple):
    """One question: may this person, at this level, on this day, do what names these options?

    `as_signer`: the standing is asked because the person signed something on that day.
    """

    person: str
    level: str
    day: date
    question: rule.Question
    as_signer: bool = False


class Asking:
    """Answers questions about one shop as known at one instant, and remembers what it has worked
    out.
    """

    def __init__(self, shop: Shop, known_at: datetime, without: SignOff | None = None) -> None:
        self.shop = shop
        self.known = Known(shop, known_at, without)
        self.books = RuleBooks(shop.files.versions)
        self._alone: dict[Asked, bool] = {}
        self._watched: dict[Asked, bool] = {}
        self._entitled: dict[int, bool] = {}
        self._job_days: dict[tuple[str, tuple[str, ...]], list[date]] = {}
        self._settled: set[str] = set()
        self._depth = 0

    def standing(self, asked: Asked) -> StandingWord:
        """Return the standing: alone, watched or no."""
        if self.alone(asked):
            return "alone"
        return "watched" if self.watched(asked) else "no"

    def hopeful(self, level: str, day: date) -> Callable[[str], bool]:
        """Return a quick test of a person: False when nothing on record could make the standing at
        the level any but no.

        Without a sign-off nobody is alone, and without a sitting nobody has passed a quiz that
        watched asks for.
        """
        files, rules = self.shop.files, self.books.on(day).of(level)
        if rules.pass_percent == 0:
            return lambda person: True
        signoffs, passings = files.signoffs.drawer, files.passings.drawer
        return lambda person: level in passings(person) or level in signoffs(person)

    def alone(self, asked: Asked) -> bool:
        """Say whether rules 1 to 7 all hold."""
        if asked not in self._alone:
            self._alone[asked] = self._work_out_alone(asked)
        return self._alone[asked]

    def _work_out_alone(self, asked: Asked) -> bool:
        book = self.books.on(asked.day)
        rules = book.rules.get(asked.level)
        return (
            rules is not None
            and not book.in_a_circle(asked.level)
            and self.is_free(asked)
            and self.resting_on(asked) is not None
            and self.in_practice(asked)
            and all(self.alone(asked._replace(level=earlier)) for earlier in rules.earlier)
        )

    def watched(self, asked: Asked) -> bool:
        """Say whether the standing is at least watched."""
        if asked not in self._watched:
            self._watched[asked] = self.alone(asked) or self._work_out_watched(asked)
        return self._watched[asked]

    def _work_out_watched(self, asked: Asked) -> bool:
        book = self.books.on(asked.day)
        rules = book.rules.get(asked.level)
        return (
            rules is not None
            and not book.in_a_circle(asked.level)
            and self.is_free(asked)
            and rule.has_quiz_done(self.known, asked.person, rules, asked.day)
            and not rule.unread_revisions(self.known, asked.person, rules, asked.day)
            and all(self.watched(asked._replace(level=earlier)) for earlier in rules.earlier)
        )

    def is_free(self, asked: Asked) -> bool:
        """Say whether the person is here and not stood down (rules 1 and 2)."""
        person, level, day = asked.person, asked.level, asked.day
        is_here = rule.is_here(self.known.person(person), day)
        return is_here and not rule.standdowns_in_force(self.known, person, level, day)

    def signoffs(self, asked: Asked) -> list[SignOff]:
        """Return the sign-offs that count by the day, the latest first, entitled or not."""
        return [
            row
            for row in reversed(self.known.signoffs(asked.person, asked.level))
            if row.on < asked.day or (row.on == asked.day and (row.founding or not asked.as_signer))
        ]

    def resting_on(self, asked: Asked) -> SignOff | None:
        """Return the latest sign-off that satisfies rules 3, 4 and 6 together."""
        rules = self.books.on(asked.day).rules[asked.level]
        for row in self.signoffs(asked):
            if (
                rule.covers(row.limits, asked.question)
                and asked.day <= months(row.on, rules.valid_months)
                and next(rule.changes_overdue(self.known, row, rules, asked.day), None) is None
                and self.entitled(row)
            ):
                return row
        return None

    def in_practice(self, asked: Asked) -> bool:
        """Say whether rule 5 holds: enough jobs in the window, or an entitled sign-off in it."""
        book = self.books.on(asked.day)
        rules = book.rules[asked.level]
        if not rule.is_practice_asked(rules, asked.day):
            return True
        first = rule.window_start(rules, asked.day)
        if self.fresh_signoff(asked, first) is not None:
            return True
        days = self.job_days(asked.person, asked.level, book)
        return bisect_right(days, asked.day) - bisect_left(days, first) >= rules.practice_jobs

    def fresh_signoff(self, asked: Asked, first: date) -> SignOff | None:
        """Return the latest entitled sign-off for the level, whatever it covers, signed on or after
        a day.
        """
        return next(
            (row for row in self.signoffs(asked) if row.on >= first and self.entitled(row)), None
        )

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
                and self.alone_for_all(row.signer, row.level, row.limits, row.on)
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

    def alone_for_all(self, signer: str, level: str, limits: Limits, day: date) -> bool:
        """Say whether a signer was alone on the day for all that a sign-off with these limits
        covers.
        """
        questions = rule.questions_covered(limits)
        return bool(questions) and all(
            self.alone(Asked(signer, level, day, q, True)) for q in questions
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


def asks_practice(rules: LevelRules) -> bool:
    """Say whether a level asks for practice at all, on this day or on later ones."""
    return rules.practice_jobs > 0 and rules.practice_months > 0


def days_first_asked(rules: LevelRules) -> Iterator[date]:
    """Give the first day on which a level asks for practice, where its rules name the day from
    which jobs are written down.
    """
    if asks_practice(rules) and rules.practice_from is not None:
        yield days_on(rule.last_day_unasked(rules, rules.practice_from), 1)


def as_question(variant: Mapping[str, str]) -> rule.Question:
    """Return the question that names these options."""
    return frozenset(variant.items())
