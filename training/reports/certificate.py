"""What does the certificate of a sign-off say?

It carries what records of training have to carry where the law asks for one: who was trained, on
which days training and evaluation took place, and who did them (29 CFR 1910.178(l)(6), for lift
trucks); and the means to check it against the record book.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from procedures.models.booking import list_written_kinds
from training.models import BookEntry, Level, SignOff, User
from training.records.gathering import gather
from training.records.sheets import evidence_of, forks_text, title_of
from training.records.wording.signoffs import say_signed
from training.reports.seen import voids_of
from training.standing.answer import Answer, answers
from training.standing.known import Known


@dataclass(frozen=True, slots=True)
class Certificate:
    """A sign-off with what it rested on, its entry in the record book, and how it stands on a day.

    `answer` is for the forks of the sign-off; `is_void` says that it was declared never to have
    counted.
    """

    row: SignOff
    title: str
    forks: str
    signed: str
    evidence: tuple[str, ...]
    number: str
    digest: str
    is_void: bool
    answer: Answer


def certificates_of(person: User, level: Level) -> tuple[SignOff, ...]:
    """The sign-offs of a person at a level, the newest first."""
    return tuple(
        SignOff.objects.filter(person=person, level=level)
        .select_related("signer")
        .order_by("-happened_on", "-pk")
    )


def certificate(row: SignOff, on: date, now: datetime) -> Certificate:
    """The certificate of this sign-off, as it stands on a day."""
    shop, level, login = gather(), row.level.name, row.person.login
    entry = (
        BookEntry.objects.filter(kind__in=list_written_kinds(SignOff.KIND), row=row.pk)
        .values_list("number", "digest")
        .first()
    )
    number, digest = entry or (0, "")
    # Asked for a fork that it covers: without one a limited sign-off always says no.
    variant = {name: options[0] for name, options in row.limits.items() if options}
    return Certificate(
        row=row,
        title=title_of(shop, level, row.happened_on),
        forks=forks_text(row.limits),
        signed=say_signed(
            # The name as it was signed; brought in from paper, there is only today's.
            row.printed_name or row.signer.name,
            founding=row.founding,
            own=row.signer_id == row.person_id,
        ),
        # As known when it was signed: what came later was no ground for it.
        evidence=evidence_of(
            Known(shop, row.recorded_at), login, level, row.happened_on, signoffs=False
        ),
        number=str(number),
        digest=digest,
        is_void=voids_of(row, "signoff").exists(),
        answer=answers(shop, level, on, now, variant, [login])[0],
    )
