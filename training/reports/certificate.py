"""What does the certificate of a sign-off say?

It carries what records of training have to carry where the law asks for one: who was trained, on
which days training and evaluation took place, and who did them (29 CFR 1910.178(l)(6), for lift
trucks); and the means to check it against the record book.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils.translation import gettext, ngettext

from procedures.models.booking import list_written_kinds
from procedures.records.days.reader import say_day
from procedures.records.statements import prepare_objects
from training.models import BookEntry, Level, SignOff, User
from training.records.gathering import gather
from training.records.levels import title_of
from training.records.sheets import forks_text
from training.records.wording.entries import say_entry
from training.records.wording.signoffs import say_signed
from training.reports.observations import voids_of
from training.standing.answer import Answer, answers
from training.standing.entitlement import Asking, asking_of
from training.standing.evidence import Job
from training.standing.known import Known
from training.standing.levels import version_on
from training.standing.naming import name_entry
from training.standing.rules.quiz import valid_pass


@dataclass(frozen=True, slots=True)
class Certificate:
    """A sign-off with what it rested on, its entry in the record book, and how it stands on a day.

    `answer` is for the forks of the sign-off; `is_void` says that it was declared never to have
    counted, `has_fallen` that its signer was not entitled, as known now.
    """

    row: SignOff
    title: str
    forks: str
    signed: str
    signer: str
    evidence: tuple[str, ...]
    number: str
    digest: str
    is_void: bool
    has_fallen: bool
    answer: Answer

    @property
    def counts(self) -> bool:
        """Whether the sign-off counts, so that the page is a certificate."""
        return not self.is_void and not self.has_fallen


def certificates_of(person: User, level: Level) -> tuple[SignOff, ...]:
    """The sign-offs of a person at a level, the newest first."""
    return tuple(_ask_sign_offs(person.pk, level.pk))


@prepare_objects
def _ask_sign_offs(person: int, level: int) -> QuerySet[SignOff]:
    rows = SignOff.objects.filter(person=person, level=level)
    return rows.select_related("signer").order_by("-happened_on", "-pk")


def certificate(row: SignOff, on: date, now: datetime) -> Certificate:
    """The certificate of this sign-off, as it stands on a day."""
    shop, level, login = gather(), row.level.name, row.person.login
    entry = (
        BookEntry.objects.filter(kind__in=list_written_kinds(SignOff.KIND), row=row.pk)
        .values_list("number", "digest")
        .first()
    )
    number, digest = entry or (0, "")
    # The name as it was signed; brought in from paper, there is only today's.
    signer = row.printed_name or row.signer.name
    # Asked for a fork that it covers: without one a limited sign-off always says no.
    variant = {name: options[0] for name, options in row.limits.items() if options}
    return Certificate(
        row=row,
        title=title_of(shop, level, row.happened_on),
        forks=forks_text(row.limits),
        signer=signer,
        signed=say_signed(signer, founding=row.founding, own=row.signer_id == row.person_id),
        # As known when it was signed: what came later was no ground for it.
        evidence=tuple(_rested_on(Known(shop, row.recorded_at), login, level, row.happened_on)),
        number=str(number),
        digest=digest,
        is_void=voids_of(row, "signoff").exists(),
        has_fallen=_has_fallen(asking_of(shop, now), row),
        answer=answers(shop, level, on, now, variant, [login])[0],
    )


def _has_fallen(asking: Asking, row: SignOff) -> bool:
    """Whether a sign-off that is not void rests on a signer who was not entitled."""
    same = (row.happened_on, row.signer.login, row.recorded_at)
    return any(
        not asking.entitled(found)
        for found in asking.known.signoffs(row.person.login, row.level.name)
        if (found.on, found.signer, found.recorded_at) == same
    )


def _rested_on(known: Known, login: str, level: str, on: date) -> Iterator[str]:
    """What speaks for the person at a level, by a day: the latest reading of each write-up, the
    latest pass, all jobs in one line, and what each observer last saw done right.

    A failed quiz and an observation that was not right are no ground for a sign-off; the record
    page tells them.
    """
    versions = known.files.versions.get(level, ())
    rules = version_on(versions, on) if versions else None
    for name in rules.writeups if rules else ():
        read = [row for row in known.readings(login, name) if row.on <= on]
        if read:
            yield say_entry(name_entry(known, max(read, key=lambda row: row.revision)))
    if rules and (passed := valid_pass(known, login, rules, on)):
        yield say_entry(name_entry(known, passed))
    if jobs := [row for row in known.jobs(login, level) if row.on <= on]:
        yield _say_jobs(jobs)
    seen = [row for row in known.observations(login, level) if row.on <= on and row.right]
    for last in {row.observer: row for row in seen}.values():
        yield say_entry(name_entry(known, last))


def _say_jobs(jobs: Sequence[Job]) -> str:
    """So many jobs within which days, and how many of them somebody watched."""
    watched = sum(row.watched_by is not None for row in jobs)
    if len(jobs) == 1:
        text = gettext("supervised job of {day}") if watched else gettext("job of {day}")
        return text.format(day=say_day(jobs[0].on))
    text = ngettext(
        "{jobs} jobs from {first} to {last}, {watched} of them supervised",
        "{jobs} jobs from {first} to {last}, {watched} of them supervised",
        watched,
    )
    days = sorted(row.on for row in jobs)
    first, last = say_day(days[0]), say_day(days[-1])
    return text.format(jobs=len(jobs), first=first, last=last, watched=watched)
