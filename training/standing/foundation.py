"""What does a standing of alone rest on?"""

from training.standing import rules as rule
from training.standing.entitlement import Asked, Asking
from training.standing.evidence import LevelRules, SignOff
from training.standing.reasons import jobs_in_window
from training.standing.wording import kept


def rests_on(asking: Asking, asked: Asked) -> tuple[str, ...]:
    """Return the names of the entries that somebody's being alone rests on, those of earlier levels
    after its own.
    """
    named: dict[str, None] = {}
    for level in (asked.level, *sorted(asking.books.on(asked.day).before[asked.level])):
        named |= dict.fromkeys(_own_support(asking, asked._replace(level=level)))
    return tuple(named)


def _own_support(asking: Asking, asked: Asked) -> tuple[str, ...]:
    rules = asking.books.on(asked.day).rules[asked.level]
    signoff = asking.resting_on(asked)
    if signoff is None:
        return ()
    return (
        *_signing(asking, signoff),
        *_practice(asking, asked, rules),
        *_changes(asking, asked, rules, signoff),
    )


def _signing(asking: Asking, row: SignOff) -> tuple[str, ...]:
    appointment = None if row.founding else asking.appointment(row.signer, row.level, row.on)
    return kept(filter(None, (row, appointment)))


def _practice(asking: Asking, asked: Asked, rules: LevelRules) -> tuple[str, ...]:
    """Name the latest jobs that are enough, else (being in practice) the sign-off in the window."""
    if not rule.is_practice_asked(rules, asked.day):
        return ()
    jobs = jobs_in_window(asking, asked, rules)
    if len(jobs) >= rules.practice_jobs:
        return kept(jobs[-rules.practice_jobs :])
    return kept(filter(None, [asking.fresh_signoff(asked, rule.window_start(rules, asked.day))]))


def _changes(asking: Asking, asked: Asked, rules: LevelRules, signoff: SignOff) -> tuple[str, ...]:
    named: list[str] = []
    for proof in rule.changes_since(asking.known, signoff, rules, asked.day):
        asked_for = (
            proof.reading,
            proof.passing if proof.asks_answer else None,
            proof.observation if proof.asks_showing else None,
        )
        named += kept(filter(None, asked_for))
    return tuple(named)
