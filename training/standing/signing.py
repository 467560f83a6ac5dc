"""May this signer give this sign-off on this day, and is everything there that the level asks
before one?
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from itertools import islice, product

from training.standing.entitlement import Asked, Asking, as_question, asking_of
from training.standing.evidence import Limits, Shop
from training.standing.question import join_options, questions_covered
from training.standing.results import Reason
from training.standing.rules.ruleset import CHANGES
from training.standing.rules.watched_jobs import options_of_level
from training.standing.told import reasons, reasons_of

MOST_FORKS = 200
"""So many combinations of a level's options are tried for one answer."""
# Of what is asked before a sign-off only these look at the forks that it is for.
OF_FORKS = frozenset(
    {"too-few-watched-jobs", "earlier-level", "change-not-answered", "change-not-shown"}
)


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
    # An earlier level may be held for one option and not for another: each is asked that is signed
    # for.
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
        # All hindrances are told at once: mended one by one, each would cost another walk to the
        # page.
        found.append(Reason("signs-for-self"))
    if asking.appointment(signer, level, on) is None:
        found.append(Reason("not-appointed", (*named, ("day", on))))
    return (*found, *_not_alone(asking, signer, level, limits, on))


def find_least_missing(
    shop: Shop, signer: str, person: str, level: str, on: date, known_at: datetime
) -> tuple[Reason, ...] | None:
    """Return what is missing before this signer may sign this person off, for those forks for which
    the least is: empty where a sign-off can be given, None where the signer can give none.

    Raises NotInShopError for a level that the shop does not have.
    """
    least: tuple[Reason, ...] | None = None
    for limits in _limits_to_try(asking_of(shop, known_at), (signer, person), level, on):
        # Limits mend no more than that one is not alone for every fork.
        lacks = hindrances_of_signer(shop, signer, person, level, limits, on, known_at)
        if any(reason.code != "signer-not-alone" for reason in lacks):
            return None
        if lacks:
            continue
        missing = reasons_against_signing(shop, person, level, on, known_at, limits)
        if least is None or len(missing) < len(least):
            least = missing
        if OF_FORKS.isdisjoint(reason.code for reason in least):
            break
    return least


def is_alone_for_some_fork(
    shop: Shop, person: str, level: str, on: date, known_at: datetime
) -> bool:
    """Say whether somebody is alone at a level for a fork at least, whatever it is."""
    asking = asking_of(shop, known_at)
    return any(
        asking.alone(Asked(person, level, on, question))
        for limits in _limits_to_try(asking, (person,), level, on)
        for question in questions_covered(limits)
    )


def _limits_to_try(asking: Asking, people: Iterable[str], level: str, on: date) -> Iterator[Limits]:
    """Give no limits, and then each that leaves one option of every variant: what can be signed for
    several forks can be signed for one of them. The variants are those by which the rules of the
    day ask, and those that limit what these people hold.
    """
    yield ()
    by_rules = options_of_level(asking.shop, asking.books.on(on).of(level))
    held = (limits for person in people for limits in asking.limits_of(person, level, on))
    # A sign-off limited to no option of a variant covers nothing, and leaves none to try.
    variants = [(name, some) for name, some in join_options((by_rules, *held)) if some]
    if variants:
        each = product(*([(name, (option,)) for option in some] for name, some in variants))
        yield from islice(each, MOST_FORKS)


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
            # Whoever is not alone has a reason at least; one is enough for somebody who stands at
            # the bench.
            first = reasons(asking, asked)[0]
            named = (("name", asking.known.name(signer)), ("title", title), ("day", on))
            options = (("options", tuple(sorted(question))), ("reason", first))
            return (Reason("signer-not-alone", (*named, *options), first.evidence),)
    return ()
