"""Which rules does a level have, and in which order? Each stands in a module of its own."""

from __future__ import annotations

from dataclasses import dataclass

from training.standing.results import Step
from training.standing.rules.changes import Changes
from training.standing.rules.earlier import Earlier
from training.standing.rules.here import Here
from training.standing.rules.observations import Observations
from training.standing.rules.practice import Practice
from training.standing.rules.quiz import Quiz
from training.standing.rules.readings import Readings
from training.standing.rules.rule import Rule
from training.standing.rules.sign_off import SignedOff, Signer
from training.standing.rules.stood_down import StoodDown
from training.standing.rules.watched_jobs import WatchedJobs

HERE, STOOD_DOWN = Here(), StoodDown()
SIGNED_OFF, SIGNER = SignedOff(), Signer()
PRACTICE, CHANGES = Practice(), Changes()
EARLIER, EARLIER_WATCHED = Earlier(watched=False), Earlier(watched=True)
# Being watched must not be lost by one failed sitting, and a signature must not be got over one.
READINGS, QUIZ, QUIZ_EVER = Readings(), Quiz(latest=True), Quiz(latest=False)
WATCHED_JOBS, OBSERVATIONS = WatchedJobs(), Observations()


@dataclass(frozen=True, slots=True)
class RuleSet:
    """The rules by which standings are worked out, in the order in which they are looked at and
    shown.
    """

    alone: tuple[Rule, ...]
    """What being alone asks."""
    study: tuple[Rule, ...]
    """What being watched asks of the person's study, beside being free and the earlier levels."""
    watched: tuple[Rule, ...]
    """All that being watched asks."""
    before: tuple[Rule, ...]
    """What is asked before a sign-off."""
    reasons: tuple[Rule, ...]
    """The rules of being alone in the order of their reasons: that the signer was not entitled is
    told before what the sign-off covers.
    """
    told_in_order: tuple[Rule, ...]
    """Every rule in the order in which a level's own page tells what it asks."""

    @property
    def steps(self) -> dict[str, Step]:
        """Return what to do about each reason, by its code."""
        # Study and watched name no code that these two do not.
        every = (*self.alone, *self.before)
        return {code: step for rule in every for code, step in rule.steps.items()}


RULES = RuleSet(
    alone=(HERE, STOOD_DOWN, SIGNED_OFF, SIGNER, PRACTICE, CHANGES, EARLIER),
    study=(READINGS, QUIZ_EVER),
    watched=(HERE, STOOD_DOWN, QUIZ_EVER, READINGS, EARLIER_WATCHED),
    before=(READINGS, QUIZ, WATCHED_JOBS, OBSERVATIONS),
    # The signer comes first: until when a signature holds is no use where it does not count.
    reasons=(HERE, STOOD_DOWN, SIGNER, SIGNED_OFF, PRACTICE, CHANGES, EARLIER),
    told_in_order=(
        EARLIER,
        READINGS,
        QUIZ,
        WATCHED_JOBS,
        OBSERVATIONS,
        SIGNED_OFF,
        PRACTICE,
        CHANGES,
    ),
)
