"""What is a rule of a level, what is it asked about, and what does it give?

A rule is one object. Its `look` says whether it holds for a case; what it rests on and why it fails
are told from what that same look found, so verdict and reason cannot disagree.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from training.standing.evidence import Files, LevelRules, Limits, Shop
from training.standing.levels import RuleBook
from training.standing.question import Asked
from training.standing.results import Asks, NextStep, Reason, Step, Support

# Asking asks the rules, which ask it for signers and earlier levels: a circle at import time.
if TYPE_CHECKING:
    from training.standing.entitlement import Asking
    from training.standing.known import Known
    from training.standing.rules.held import Held


class Case:
    """A person at a level on a day, with the version of the level's rules that holds on it.

    `limits` are those of a sign-off that is about to be given.
    """

    # Made by the ten thousand for one table, each with a handful of looks.
    __slots__ = ("_held", "asked", "asking", "book", "day", "known", "limits", "person", "rules")

    def __init__(
        self, asking: Asking, asked: Asked, rules: LevelRules, book: RuleBook, limits: Limits = ()
    ) -> None:
        self.asking, self.asked, self.rules, self.book = asking, asked, rules, book
        self.limits = limits
        self.known: Known = asking.known
        self.person, self.day = asked.person, asked.day
        # A tuple, since None is an answer too: nobody has signed.
        self._held: tuple[Held | None, ...] = ()

    @property
    def held(self) -> Held | None:
        """The sign-off by which the person is judged, looked for once; None without any."""
        if not self._held:
            self._held = (self.asking.held_by(self),)
        return self._held[0]


def _nothing() -> tuple[Support, ...]:
    return ()


class Finding:
    """Whether a rule holds for a case; why not, or on what it rests, is put together when it is
    asked for.
    """

    __slots__ = ("_rests", "_why", "holds")

    def __init__(
        self,
        # Callables: a table asks only whether it holds, and words of thousands would be made for
        # nothing.
        why: Callable[[], tuple[Reason, ...]] | None,
        rests: Callable[[], tuple[Support, ...]] = _nothing,
    ) -> None:
        self.holds, self._why, self._rests = why is None, why, rests

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Return why the rule does not hold; empty where it does."""
        return self._why() if self._why else ()

    @property
    def rests_on(self) -> tuple[Support, ...]:
        """Return what it rests on; empty where it does not hold."""
        return self._rests() if self.holds else ()


# One for all: a rule that holds and rests on nothing needs no object of its own.
HOLDS = Finding(None)


def holds(rests: Callable[[], tuple[Support, ...]]) -> Finding:
    """Return the finding of a rule that holds, and rests on what is named."""
    return Finding(None, rests)


def fails(*reasons: Callable[[], Reason]) -> Finding:
    """Return the finding of a rule that does not hold, for these reasons."""
    return Finding(lambda: tuple(reason() for reason in reasons))


class Rule:
    """One rule of a level. What a rule leaves out, it says in the plainest way."""

    name: ClassVar[str]
    steps: ClassVar[Mapping[str, Step]] = {}
    """What to do about each of its reasons, by the reason's code."""
    yardstick: ClassVar[str] = ""
    """The published rule of the same form. It binds other trades and no bicycle workshop: a screen
    says "inspired by", never more. Each was read in a public copy, or in a secondary account where
    it says so.
    """
    bars_signing: ClassVar[bool] = False
    """Whether what fails here cannot be mended by a signature."""
    asks_other_levels: ClassVar[bool] = False
    """Whether the rule asks how the person stands at other levels."""
    cost: ClassVar[int] = 0
    """How much has to be read for a look; of several rules the cheap ones are looked at first."""

    def look(self, case: Case) -> Finding:
        """Return whether the rule holds for the case."""
        raise NotImplementedError

    def asks(self, case: Case) -> Asks | None:
        """Return what the rule asks, told beside its finding; None where the level does not ask
        it.
        """
        raise NotImplementedError

    def tell_terms(self, rules: LevelRules, shop: Shop) -> tuple[Asks, ...]:
        """Return what the rule asks of everybody, as it stands on the level's own page."""
        return ()

    def days(self, case: Case, until: date) -> Iterator[date]:
        """Give the days, in any order and some of them outside, on which what the rule finds can
        change between the day of the case and a later one.
        """
        return iter(())

    def candidates(self, files: Files, rules: LevelRules, day: date) -> Collection[str] | None:
        """Return, quickly found, people without whom the rule fails on a day for everybody: whoever
        is not among them has nothing on record by which it could hold. None: it may be anybody.
        """
        return None

    def keep(self, case: Case, reason: Reason, by: date) -> NextStep:
        """Return what, done by a day, keeps the rule from failing for a reason on the day of the
        case.
        """
        return self.steps[reason.code].at(case.rules.title, reason, by)
