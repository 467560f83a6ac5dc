"""May this signer give this sign-off on this day, and is everything there that the level asks
before one?
"""

from datetime import date, datetime

from training.standing.entitlement import Asked, Asking, as_question, asking_of
from training.standing.evidence import Limits, Shop
from training.standing.question import questions_covered
from training.standing.results import Reason
from training.standing.rules.ruleset import CHANGES
from training.standing.told import reasons, reasons_of


def reasons_against_signing(
    shop: Shop, person: str, level: str, on: date, known_at: datetime, limits: Limits = ()
) -> tuple[Reason, ...]:
    """Return what the level asks before a senior may sign and is not there on the day of signing;
    empty when all is.

    First comes what a sign-off could not mend (not here, stood down, an earlier level not held),
    then, for a renewal, what releases since the last sign-off ask to be answered or shown.

    Where the level asks for a watched job with each option, a sign-off with limits asks it of their
    options only. Raises NotInShopError for a level that the shop does not have.
    """
    asking, found = asking_of(shop, known_at), dict[Reason, None]()
    bars = [rule for rule in asking.rules.reasons if rule.bars_signing]
    # An earlier level may be held for one option and
    # not for another: each is asked that is signed for.
    for question in questions_covered(limits) or (as_question({}),):
        case = asking.case_at(Asked(person, level, on, question))
        found |= dict.fromkeys((*reasons_of(bars, case), *CHANGES.owed(case)))
    # Study and watched work belong to no option, but for the jobs, which read the limits.
    case = asking.case_at(Asked(person, level, on, as_question({})), limits)
    return (*found, *reasons_of(asking.rules.before, case))


def owed_showings(asking: Asking, asked: Asked) -> frozenset[str]:
    """Return the write-ups whose change somebody signed off has still to show, days of grace or
    not.
    """
    return CHANGES.owed_showings(asking.case_at(asked))


def hindrances_of_signer(
    shop: Shop, signer: str, person: str, level: str, limits: Limits, on: date, known_at: datetime
) -> tuple[Reason, ...]:
    """Return why the signer is not entitled to give such a sign-off on the day; empty when
    entitled.

    Sign-offs that the signer got on that same day do not help, unless they are founding.
    Raises NotInShopError for a level that the shop does not have.
    """
    asking = asking_of(shop, known_at)
    # A long chain of signers is worked out from its oldest end, so that none of this runs deep.
    asking.settle(signer)
    named = (("name", asking.known.name(signer)), ("title", asking.books.on(on).of(level).title))
    found = []
    if signer == person:
        # All hindrances are told at once: mended one by
        # one, each would cost another walk to the page.
        found.append(Reason("signs-for-self"))
    if asking.appointment(signer, level, on) is None:
        found.append(Reason("not-appointed", (*named, ("day", on))))
    return (*found, *_not_alone(asking, signer, level, limits, on))


def _not_alone(
    asking: Asking, signer: str, level: str, limits: Limits, on: date
) -> tuple[Reason, ...]:
    questions = questions_covered(limits)
    # A variant limited to no option covers no fork at all, and nobody may sign for nothing.
    if not questions:
        return (Reason("signer-not-alone", (("options", ()),)),)
    title = asking.books.on(on).of(level).title
    for question in questions:
        asked = Asked(signer, level, on, question, as_signer=True)
        if not asking.alone(asked):
            # Whoever is not alone has a reason at least; one
            # is enough for somebody who stands at the bench.
            first = reasons(asking, asked)[0]
            named = (("name", asking.known.name(signer)), ("title", title), ("day", on))
            options = (("options", tuple(sorted(question))), ("reason", first))
            return (Reason("signer-not-alone", (*named, *options), first.evidence),)
    return ()
