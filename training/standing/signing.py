"""May this signer give this sign-off on this day, and is everything there that the level asks
before one?
"""

from datetime import date, datetime

from training.standing import rules as rule
from training.standing.calendar import written
from training.standing.entitlement import Asked, Asking, as_question
from training.standing.evidence import Limits, Shop
from training.standing.missing import unfulfilled
from training.standing.reasons import in_the_way, reasons, still_owed
from training.standing.wording import Reason


def missing_for_signing(
    shop: Shop, person: str, level: str, on: date, known_at: datetime, limits: Limits = ()
) -> tuple[Reason, ...]:
    """Return what the level asks before a senior may sign and is not there on the day of signing;
    empty when all is.

    First comes what a sign-off could not mend (not here, stood down, an earlier level not held),
    then, for a renewal, what releases since the last sign-off ask to be answered or shown.

    Where the level asks for a watched job with each option, a sign-off with limits asks it of their
    options only. Raises NotInShopError for a level that the shop does not have.
    """
    asking = Asking(shop, known_at)
    rules = asking.books.on(on).of(level)
    found: list[Reason] = []
    for question in rule.questions_covered(limits) or (as_question({}),):
        asked = Asked(person, level, on, question)
        found += (*in_the_way(asking, asked, rules), *still_owed(asking, asked, rules))
    return (*dict.fromkeys(found), *unfulfilled(asking, person, rules, on, limits))


def may_sign(
    shop: Shop, signer: str, person: str, level: str, limits: Limits, on: date, known_at: datetime
) -> tuple[Reason, ...]:
    """Return why the signer is not entitled to give such a sign-off on the day; empty when
    entitled.

    Sign-offs that the signer got on that same day do not help, unless they are founding.
    Raises NotInShopError for a level that the shop does not have.
    """
    asking = Asking(shop, known_at)
    asking.settle(signer)
    title = asking.books.on(on).of(level).title
    found = []
    if signer == person:
        found.append(Reason("signs-for-self", "Nobody signs for themselves."))
    if asking.appointment(signer, level, on) is None:
        text = (
            f"{asking.known.name(signer)} has no appointment to sign off for {title} on "
            f"{written(on)}."
        )
        found.append(Reason("not-appointed", text))
    return (*found, *_not_alone(asking, signer, level, limits, on))


def _not_alone(
    asking: Asking, signer: str, level: str, limits: Limits, on: date
) -> tuple[Reason, ...]:
    questions = rule.questions_covered(limits)
    if not questions:
        return (
            Reason(
                "signer-not-alone",
                "A sign-off with limits names at least one option for each variant.",
            ),
        )
    title = asking.books.on(on).of(level).title
    for question in questions:
        asked = Asked(signer, level, on, question, as_signer=True)
        if not asking.alone(asked):
            first = reasons(asking, asked)[0]
            named = ", ".join(f"{variant}: {option}" for variant, option in sorted(question))
            what = f" with {named}" if named else ""
            text = (
                f"{asking.known.name(signer)} is not alone at {title}{what} on {written(on)}: "
                f"{first.text}"
            )
            return (Reason("signer-not-alone", text, first.evidence),)
    return ()
