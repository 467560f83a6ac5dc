"""What does each page on write-ups show?"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils.translation import gettext

from procedures.access import acts, doors
from procedures.access.acts import Person
from procedures.models import ChosenFork, Revision, Thing
from procedures.records import texts
from procedures.records.above import level_titles
from procedures.records.examples import unread_names
from procedures.records.library import pictures
from procedures.records.statements import prepare_objects
from procedures.records.study import Study, known_options, study_for
from procedures.records.wording.say import say
from procedures.rehearsal.findings import Finding, blocks
from procedures.reports.comparing import ChangesInShort, sum_up_changes
from procedures.reports.examples import FromExamples, find_example
from procedures.reports.finding import Around, Misfit, find_neighbours, misfits
from procedures.reports.proofing import ProofPage, proof_page
from procedures.writeup.drawings import names_in


@dataclass(frozen=True, slots=True)
class Listed:
    """One write-up in the list: what is released, and what is being written."""

    name: str
    title: str
    level: str
    interval: str
    follows: str
    number: int | None
    released_on: date | None
    open_number: int | None
    open_state: str
    open_author: str
    is_example: bool
    may_start_next: bool


@dataclass(frozen=True, slots=True)
class ListPage:
    entries: tuple[Listed, ...]
    may_write: bool


@dataclass(frozen=True, slots=True)
class Found:
    """One finding of the rehearsal, told for the page: the line with its text, and for which forks
    it shows.
    """

    line: int
    quoted: str
    level: str
    code: str
    step: str
    message: str
    variant: str


@dataclass(frozen=True, slots=True)
class Findings:
    found: tuple[Found, ...]
    errors: int
    advice: int

    @property
    def blocks(self) -> bool:
        """Whether something here stands against a release."""
        return self.errors > 0


@dataclass(frozen=True, slots=True)
class RevisionPage:
    """One revision with its state, what it rests on, and what this person may do with it."""

    name: str
    number: int
    title: str
    state: str
    reason: str
    asks: str
    author: str
    changed_at: datetime
    seen: str
    sent_back_because: str
    released_on: date | None
    released_by: str
    digest: str
    current_number: int | None
    study: Study
    changes: ChangesInShort | None
    has_others: bool
    around: Around
    misfits: tuple[Misfit, ...]
    text: str
    findings: Findings | None
    proof: ProofPage | None
    example: FromExamples | None
    may_answer: bool
    may_edit: bool
    may_send: bool
    may_send_back: bool
    may_release: bool
    why_not_release: str


def list_page(person: Person, today: date) -> ListPage:
    """Every write-up that this person may know of, by title; four queries."""
    may_write = acts.WRITE.is_open_to(person)
    visible = doors.revisions_for(person, today=today).select_related("writeup", "author")
    current = {row.writeup_id: row for row in visible.current(today)}
    being_written = {row.writeup_id: row for row in visible.open()} if may_write else {}
    titles = {
        row.writeup.name: row.writeup.title for row in (*being_written.values(), *current.values())
    }
    levels, unread = level_titles(), unread_names(Thing.WRITE_UP) if may_write else frozenset()
    entries = [
        _listed(shown, titles, levels, current.get(key), being_written.get(key), person, unread)
        for key, shown in {**being_written, **current}.items()
    ]
    return ListPage(
        tuple(sorted(entries, key=lambda entry: (entry.title.casefold(), entry.name))), may_write
    )


def revision_page(
    person: Person, revision: Revision, *, today: date, chosen: Mapping[str, str], show_all: bool
) -> RevisionPage:
    """One revision as this person may see it; findings and the buttons of writers for writers
    only.
    """
    current, header = _current_number(revision, today), texts.parse_once(revision.text)
    may_write = acts.WRITE.is_open_to(person)
    is_open, may_edit = revision.released_on is None, acts.EDIT.is_open_to(person, revision)
    may_send_back = acts.SEND_BACK.is_open_to(person, revision)
    findings = findings_page(revision.text, name=revision.writeup.name) if may_write else None
    proofing = proof_page(revision.writeup, revision.text) if may_write else None
    example = find_example(person, revision) if may_write else None
    found = (findings, proofing, example)
    why_not = _why_not_release(person, revision, *found) if may_send_back else ""
    return RevisionPage(
        name=revision.writeup.name,
        number=revision.number,
        title=header.title or revision.writeup.title,
        state=revision.state(latest_released=current),
        reason=revision.reason,
        asks=revision.asks,
        author=_called(revision.author),
        changed_at=revision.changed_at,
        seen=revision.changed_at.isoformat(),
        sent_back_because=revision.sent_back_because,
        released_on=revision.released_on,
        released_by=_called(revision.released_by),
        digest=revision.digest,
        current_number=current,
        study=study_steps(person, revision, chosen, show_all),
        changes=sum_up_changes(revision) if may_write else None,
        has_others=revision.number > 1,
        around=find_neighbours(revision.writeup.name, header.follows, today=today),
        misfits=misfits(revision.writeup.name, revision.text) if may_write and is_open else (),
        text=revision.text,
        findings=findings,
        proof=proofing,
        example=example,
        may_answer=acts.ANSWER_PROOFING.is_open_to(person, revision),
        may_edit=may_edit,
        may_send=may_edit and _is_clean(*found),
        may_send_back=may_send_back,
        may_release=may_send_back and not why_not,
        why_not_release=why_not,
    )


def _is_clean(
    findings: Findings | None, proofing: ProofPage | None, example: FromExamples | None
) -> bool:
    """Whether nothing in the text stands against sending it to review."""
    is_own = example is None or not example.why_not
    return bool(is_own and findings and not findings.blocks and proofing and not proofing.blocks)


def _why_not_release(
    person: Person,
    revision: Revision,
    findings: Findings | None,
    proofing: ProofPage | None,
    example: FromExamples | None,
) -> str:
    """Why this person cannot release it now, in a sentence; empty where nothing stands against
    it.
    """
    if why_not := acts.RELEASE.why_not(person, revision):
        return why_not
    if findings and findings.blocks:
        return gettext("The rehearsal finds errors. Send the revision back.")
    if proofing and proofing.blocks:
        return gettext("The proofing needs answers. Give them above, or send the revision back.")
    return example.why_not if example else ""


def study_steps(
    person: Person, revision: Revision, chosen: Mapping[str, str], show_all: bool
) -> Study:
    """A revision as it is studied for the fork with the chosen options, or without any for the fork
    that this person chose last; asks for them first where any is missing."""
    writeup = texts.parse_once(revision.text)
    if writeup.variants and not known_options(writeup, chosen):
        for kept in _ask_fork(person.pk, revision.writeup_id):
            chosen = kept.options
    return study_for(
        writeup,
        chosen,
        show_all=show_all,
        title=revision.writeup.title,
        number=revision.number,
        released_on=revision.released_on,
        pictures=pictures(names_in(revision.text)),
        levels=level_titles(),
    )


@prepare_objects
def _ask_fork(person: int, writeup: int) -> QuerySet[ChosenFork]:
    return ChosenFork.objects.filter(person=person, writeup=writeup).order_by("pk")[:1]


def findings_page(text: str, *, name: str) -> Findings:
    """What the rehearsal of this text finds, told for people."""
    return tell_findings(texts.findings_of(text, name=name), text)


def tell_findings(found: Sequence[Finding], text: str) -> Findings:
    """Findings with the lines that they are about."""
    lines = text.split("\n")
    errors = sum(1 for finding in found if blocks((finding,)))
    return Findings(tuple(_told(finding, lines) for finding in found), errors, len(found) - errors)


def _told(finding: Finding, lines: Sequence[str]) -> Found:
    quoted = lines[finding.line - 1].strip() if 0 < finding.line <= len(lines) else ""
    variant = ", ".join(f"{name} {option}" for name, option in finding.variant.items())
    return Found(
        finding.line,
        quoted,
        finding.level,
        finding.code,
        finding.step or "",
        say(finding.remark),
        variant,
    )


def _listed(
    shown: Revision,
    titles: Mapping[str, str],
    levels: Mapping[str, str],
    current: Revision | None,
    being_written: Revision | None,
    person: Person,
    unread: frozenset[str],
) -> Listed:
    header = texts.parse_once(shown.text)
    return Listed(
        name=shown.writeup.name,
        title=shown.writeup.title,
        level=levels.get(header.level, header.level),
        interval=header.interval,
        follows=titles.get(header.follows, header.follows),
        number=current.number if current else None,
        released_on=current.released_on if current else None,
        open_number=being_written.number if being_written else None,
        open_state=being_written.state(latest_released=None) if being_written else "",
        open_author=_called(being_written.author) if being_written else "",
        is_example=being_written is not None and shown.writeup.name in unread,
        may_start_next=not acts.START_NEXT.why_not(
            person, is_released=current is not None, is_being_written=being_written is not None
        ),
    )


def _current_number(revision: Revision, today: date) -> int | None:
    numbers: Iterable[int] = revision.writeup.revisions.current(today).values_list(
        "number", flat=True
    )
    return next(iter(numbers), None)


def _called(person: object | None) -> str:
    return "" if person is None else str(person)
