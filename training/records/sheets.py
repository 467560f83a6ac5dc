"""What exactly is put before somebody who is about to sign, and what does the signature mean?"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from procedures.models import Revision
from procedures.records.days.reader import write_days_for
from procedures.records.days.writing import PLAIN
from procedures.writeup.parse import level_of
from training.models import Level, SignOff, User
from training.records.book.canonical import write_canonical
from training.records.decisions import Decision, decision_on
from training.records.gathering import gather, limits_of
from training.records.levels import title_of
from training.records.wording.entries import say_entry
from training.records.wording.reasons import say_reason
from training.standing.answer import answer, hindrances_of_signer, reasons_against_signing
from training.standing.entitlement import Asked, as_question, asking_of
from training.standing.evidence import Job, Limits, Observation, Passing, Reading, Shop
from training.standing.evidence import SignOff as SignedOff
from training.standing.known import Known
from training.standing.naming import name_entry
from training.standing.results import Reason
from training.standing.signing import find_least_missing, owed_showings

LimitsGiven = Mapping[str, Sequence[str]]


@dataclass(frozen=True, slots=True)
class SigningSheet:
    """What a signer sees: the sentence, what it is decided on, the evidence it rests on, and all
    that stands against signing today.
    """

    person: str
    level: str
    title: str
    limits: dict[str, list[str]]
    signer: str
    printed_name: str
    on: date
    founding: bool
    meaning: str
    decision: Decision
    evidence: tuple[str, ...]
    missing: tuple[Reason, ...]
    waits: tuple[Reason, ...]
    """Why a first sign-off will not count yet, such as an earlier level that is not held."""
    signer_lacks: tuple[Reason, ...]
    # What stands against the signer is not in it: that is theirs, and is asked again when they
    # sign.
    digest: str

    def may_be_signed(self) -> bool:
        """Whether nothing stands against signing."""
        return not self.missing and not self.signer_lacks


def forks_text(limits: LimitsGiven) -> str:
    """For which forks a sign-off holds, in words."""
    if not limits:
        return "on every fork the shop works on"
    return "on forks with " + " and ".join(
        f"{name} {' or '.join(options)}" for name, options in limits.items()
    )


@write_days_for(PLAIN)  # what is signed is the same for every reader, and for ever
def signing_sheet(
    *,
    person: User,
    level: Level,
    signer: User,
    limits: LimitsGiven,
    on: date,
    now: datetime,
    founding: bool = False,
) -> SigningSheet:
    """The sheet for one sign-off. Its digest is SHA-256 over everything that is shown, in canonical
    JSON (RFC 8785).
    """
    shop, kept = gather(), {name: list(options) for name, options in limits.items()}
    title = title_of(shop, level.name, on)
    meaning = _meaning(person, title, kept, founding=founding, own=person == signer)
    evidence = evidence_of(Known(shop, now), person.login, level.name, on)
    asked = (shop, person.login, level.name, signer.login, limits_of(kept), on, now)
    missing, lacks, waits = _hindrances(*asked, founding=founding)
    decision = decision_on(shop, person.login, level.name, on, now, limits_of(kept))
    digest = digest_of(
        person=person.login,
        level=level.name,
        limits=kept,
        signer=signer.login,
        name=signer.name,
        on=on,
        founding=founding,
        meaning=meaning,
        decision=decision.as_said(),
        evidence=evidence,
        missing=[say_reason(reason) for reason in missing],
        waits=[say_reason(reason) for reason in waits],
        # a void one too: what follows it is another sheet
        signed_before=SignOff.objects.filter(person=person, level=level).count(),
    )
    return SigningSheet(
        person=person.login,
        level=level.name,
        title=title,
        limits=kept,
        signer=signer.login,
        printed_name=signer.name,
        on=on,
        founding=founding,
        meaning=meaning,
        decision=decision,
        evidence=evidence,
        missing=missing,
        waits=waits,
        signer_lacks=lacks,
        digest=digest,
    )


def may_be_signed_for_some(sheet: SigningSheet, now: datetime) -> bool:
    """Whether what cannot be signed for every fork can be signed for some."""
    if sheet.limits or sheet.founding or sheet.may_be_signed():
        return False
    named = (sheet.signer, sheet.person, sheet.level)
    return find_least_missing(gather(), *named, sheet.on, now) == ()


def _hindrances(
    shop: Shop,
    login: str,
    level: str,
    signer: str,
    limits: Limits,
    on: date,
    now: datetime,
    *,
    founding: bool,
) -> tuple[tuple[Reason, ...], tuple[Reason, ...], tuple[Reason, ...]]:
    """What the person still lacks, what the signer lacks, and why a first sign-off by the owner,
    which asks for neither, will not count yet.
    """
    if founding:
        # Other proof takes the place of the record's, so that nothing of it can be missing.
        return (), (), tuple(_waits(shop, login, level, limits, on, now))
    missing = reasons_against_signing(shop, login, level, on, now, limits)
    return missing, hindrances_of_signer(shop, signer, login, level, limits, on, now), ()


def _waits(
    shop: Shop, login: str, level: str, limits: Limits, on: date, now: datetime
) -> Iterator[Reason]:
    """What keeps a sign-off from counting, whoever gives it."""
    if level not in shop.files.versions:
        return
    # One fork that it covers is enough: these three reasons ask after no option but an earlier
    # level's.
    fork = {name: options[0] for name, options in limits if options}
    for reason in answer(shop, login, level, on, now, fork).reasons:
        # The rules that no signature mends, whoever gives it.
        if reason.code in {"not-here", "stood-down", "earlier-level"}:
            yield reason


def _meaning(person: User, title: str, limits: LimitsGiven, *, founding: bool, own: bool) -> str:
    ground = "I have seen this work or the record of it, and I answer for what I sign"
    if founding:
        ground = "As the owner I have other proof of this work, named in the note"
    if founding and own:
        ground = (
            "I am the owner and give this first sign-off to myself, on other proof, named in the "
            "note"
        )
    return f"{person.name} may do {title} alone, {forks_text(limits)}. {ground}."


def evidence_of(
    known: Known, login: str, level: str, on: date, *, signoffs: bool = True
) -> tuple[str, ...]:
    """Every counting entry of this person for the level up to a day, oldest first.

    Earlier sign-offs are among them, so that the same sheet is never signed twice: once signed, it
    shows one more. Without `signoffs` it is training and evaluation alone.
    """
    # Without them a certificate shows training and evaluation, on which sign-offs rest.
    signed = known.signoffs(login, level) if signoffs else ()
    tables = (
        known.passings(login, level),
        known.jobs(login, level),
        known.observations(login, level),
        signed,
    )
    rows: list[Passing | Job | Observation | SignedOff | Reading]
    rows = [row for table in tables for row in table if row.on <= on]
    # Of every version: what was read for older rules was read.
    writeups = {name for rules in known.files.versions.get(level, ()) for name in rules.writeups}
    rows += [row for name in writeups for row in known.readings(login, name) if row.on <= on]
    # By text within a day: the rows come in another order from each database, the digest must not.
    told = sorted((row.on, say_entry(name_entry(known, row))) for row in rows)
    return tuple(text for _, text in told)


def digest_of(**said: object) -> str:
    """SHA-256, in hex, over the canonical JSON (RFC 8785) of what is said: what a password stands
    under.
    """
    return hashlib.sha256(write_canonical(said)).hexdigest()


def observing_counts_for(
    person: User, level: Level, *, on: date, now: datetime
) -> Callable[[Revision], bool]:
    """A test of revisions: would an observation of one count for this person at this level?

    Before a sign-off its header must name the level; a change that asks to be shown again is shown
    by that very write-up.
    """
    shop = gather()
    asking = asking_of(shop, now)
    asked = Asked(person.login, level.name, on, as_question({}))
    # Worked out once for all revisions: a page offers each of them.
    owed = owed_showings(asking, asked) if level.name in shop.files.versions else frozenset()
    return lambda revision: level_of(revision.text) == level.name or revision.writeup.name in owed


def may_be_observed(
    person: User, level: Level, revision: Revision, *, on: date, now: datetime
) -> bool:
    """Whether an observation of this revision would count."""
    return observing_counts_for(person, level, on=on, now=now)(revision)
