"""How does a write-up come to be, change, and get released?"""

from datetime import date, datetime
from typing import Any, TypeVar

import yaml
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Max, Model
from django.utils import timezone
from django.utils.translation import gettext

from procedures.access import acts
from procedures.access.acts import Person
from procedures.actions.comparing import must_ask_enough
from procedures.actions.examples import must_be_own_values, must_be_read
from procedures.actions.proofing import must_be_proofed
from procedures.models import Asks, EarlierText, Revision, ShopRules, WriteUp
from procedures.records import texts
from procedures.records.above import moment, record
from procedures.records.asking import work_out_least
from procedures.records.refused import Refused, make_refusal, refuse_if
from procedures.records.wording.pieces import say_line
from procedures.records.wording.say import say, say_fault_of_rules
from procedures.rehearsal.findings import blocks
from procedures.writeup.asks import pick_highest
from procedures.writeup.ids import write_ids
from procedures.writeup.rules import BadRules, read_rules

SKELETON = """---
{title}
---
Say what this is for, what it needs, and which manual comes first.

## Make it safe

### Put on the eye protection {{#put-on-the-eye-protection}}

Put on the eye protection.
"""
Row = TypeVar("Row", bound=Model)


def skeleton(title: str) -> str:
    """The first lines of a write-up of this title."""
    header = yaml.safe_dump({"title": " ".join(title.split())}, allow_unicode=True, width=1000)
    return SKELETON.format(title=header.strip())


@transaction.atomic
def start_writeup(*, name: str, title: str, author: Person, now: datetime) -> Revision:
    """The first draft of a new write-up, with a few lines to begin with. Raises Refused when the
    name is taken or not allowed.
    """
    refuse_if(acts.WRITE.why_not(author))
    writeup = _kept(WriteUp(name=name, title=" ".join(title.split())))
    return _kept(
        Revision(writeup=writeup, number=1, text=skeleton(title), changed_at=now, **_by(author))
    )


@transaction.atomic
def start_revision(*, writeup: WriteUp, author: Person, now: datetime) -> Revision:
    """A draft of the next number that begins as the newest released text. Raises Refused while
    another draft is open.
    """
    newest = writeup.revisions.released().order_by("number").last()
    is_written = writeup.revisions.open().exists()
    refuse_if(
        acts.START_NEXT.why_not(author, is_released=newest is not None, is_being_written=is_written)
    )
    text = newest.text if newest else ""
    # The highest of all, not the newest released: a number is never used twice.
    number = (writeup.revisions.aggregate(top=Max("number"))["top"] or 0) + 1
    return _kept(Revision(writeup=writeup, number=number, text=text, changed_at=now, **_by(author)))


@transaction.atomic
def save_draft(
    *,
    revision: Revision,
    text: str,
    reason: str,
    asks: str,
    by: Person,
    now: datetime,
    seen: datetime | None,
) -> Revision:
    """The draft with this text in it, every step with its id. Who changes the text last counts as
    its author; whoever changed anything in it does not release it. What it asks is never less than
    its changes ask together.

    `seen` is the `changed_at` that the text was taken from. Raises Refused when somebody has saved
    since then, and for a revision that is no draft any more; the stored text then stays as it is.
    """
    kept = _locked(revision)
    refuse_if(acts.EDIT.why_not(by, kept))
    if seen is not None and seen != kept.changed_at:
        raise Refused(
            gettext(
                "Your text is not saved: somebody saved this draft after you opened it. "
                "Compare the two texts, add to yours what it should keep, and save again."
            )
        )
    text = write_ids(text)
    # A clash shows what was opened: the text that is written over, by the moment of its saving.
    EarlierText.objects.create(revision=kept, changed_at=kept.changed_at, text=kept.text)
    # Who only changed the reason or what is asked has written no text, but does not release either.
    if text != kept.text:
        kept.author_id = by.pk
    if (text, reason, asks) != (kept.text, kept.reason, kept.asks) and by.pk not in kept.writers:
        kept.writers = [*kept.writers, by.pk]
    kept.text, kept.reason, kept.asks, kept.changed_at = text, reason, asks, now
    if asks in Asks.values:
        # After the text is set, since the least is worked out from it.
        kept.asks = pick_highest((asks, work_out_least(kept)))
    return _kept(kept)


@transaction.atomic
def send_to_review(*, revision: Revision, by: Person, now: datetime) -> Revision:
    """The draft, now in review. Raises Refused, with the findings as details, while the rehearsal
    finds an error or a finding of the proofing has no answer."""
    kept = _locked(revision)
    refuse_if(acts.EDIT.why_not(by, kept))
    must_be_own_values(kept)
    _must_rehearse(
        kept,
        gettext(
            "This draft cannot go to review: the rehearsal finds errors. Put them right first."
        ),
    )
    must_be_proofed(
        kept,
        gettext(
            "This draft cannot go to review: the proofing needs answers. Put these right, or say "
            "why they may stay."
        ),
    )
    must_ask_enough(kept)
    if kept.author_id is None:
        # What came in from a folder has no author here: who sends it answers for it, so another
        # person releases it.
        kept.author_id, kept.writers = by.pk, [*kept.writers, by.pk]
    kept.sent_to_review_at, kept.sent_back_because = now, ""
    return _kept(kept)


@transaction.atomic
def send_back(*, revision: Revision, by: Person, reason: str) -> Revision:
    """The revision, a draft again, with the reason for its author. Raises Refused without a reason
    or when not in review.
    """
    kept = _locked(revision)
    refuse_if(acts.SEND_BACK.why_not(by, kept))
    if not reason.strip():
        raise Refused(gettext("Say why you send it back, so that the author knows what to change."))
    kept.sent_to_review_at, kept.sent_back_because = None, reason.strip()
    return _kept(kept)


@transaction.atomic
def release(
    *,
    revision: Revision,
    by: Person,
    today: date | None = None,
    now: datetime | None = None,
    seen: datetime | None = None,
    is_read: bool = False,
) -> Revision:
    """The revision, released, hashed, recorded in the book and sealed from here on.

    `seen` is the `changed_at` of the text that the releasing person read, `is_read` what they say
    of one from the examples. Raises Refused when this person may not release it, when it is not in
    review or was changed since, and, with the findings as details, when its rehearsal finds an
    error, a finding of its proofing has no answer or a value is still the example's.
    """
    # Takes long, and is kept: worked out before anybody has to wait.
    texts.proof_once(revision.text)
    # Before the row is locked: the book's own lock always comes first, or two writers could wait
    # for each other.
    now = moment(now)
    kept = _locked(revision)
    refuse_if(acts.RELEASE.why_not(by, kept))
    if seen is not None and seen != kept.changed_at:
        raise Refused(
            gettext("The text was changed after you opened it. Read it again, then release it.")
        )
    # Again, although review asked it: the rules and the other write-ups may have changed since.
    _must_rehearse(
        kept, gettext("This revision cannot be released: the rehearsal finds errors. Send it back.")
    )
    must_be_proofed(
        kept,
        gettext(
            "This revision cannot be released: the proofing needs answers. Answer these, or send "
            "it back."
        ),
    )
    must_ask_enough(kept)
    must_be_own_values(kept)
    must_be_read(kept, is_read=is_read, by=by, now=now)
    kept.released_on, kept.recorded_at, kept.released_by_id = (
        today or timezone.localdate(now),
        now,
        by.pk,
    )
    return _sealed(kept)


def bring_writeup(*, name: str, title: str) -> WriteUp:
    """The write-up of this name, made when there is none yet. Raises Refused for a name that is not
    allowed.
    """
    known = WriteUp.objects.filter(name=name).first()
    return known or _kept(WriteUp(name=name, title=title))


@transaction.atomic
def bring_revision(
    *,
    writeup: WriteUp,
    number: int,
    text: str,
    asks: str,
    released_on: date,
    released_at: datetime | None = None,
    now: datetime | None = None,
) -> Revision:
    """A revision from a folder, released on that day by nobody of this site, and recorded in the
    book.

    It is written whatever its rehearsal finds; the caller tells. What the header says of the
    release is taken out, since the row says it, and the next draft begins as this text. Raises
    Refused when there is one of that number.
    """
    now = moment(now)
    return _sealed(
        Revision(
            writeup=writeup,
            number=number,
            text=write_ids(texts.take_dates_off(text)),
            asks=asks,
            changed_at=now,
            released_on=released_on,
            released_at=released_at,
            recorded_at=now,
        )
    )


@transaction.atomic
def set_rules(
    *, text: str, author: Person | None, now: datetime | None = None, seen: int | None = None
) -> ShopRules:
    """The next version of the shop's rules, recorded in the book.

    `seen` is the version that the text was taken from, 0 while there was none. Raises Refused for a
    text that can't be read, and when there is a newer version than the one seen.
    """
    if author is not None:  # None: rules that come in from a folder
        refuse_if(acts.WRITE.why_not(author))
    now = moment(now)
    newest = texts.newest_rules()
    if seen is not None and seen != (newest.pk if newest else 0):
        raise Refused(
            gettext(
                "Your rules are not saved: somebody saved newer rules after you opened the "
                "page. Copy your text, open the page again and add to the newest rules what "
                "is missing."
            )
        )
    try:
        read_rules(text)
    except BadRules as fault:
        raise Refused(say_fault_of_rules(fault)) from fault
    rules = _kept(ShopRules(text=text, author_id=author.pk if author else None, recorded_at=now))
    record(ShopRules.KIND, rules)
    return rules


def _sealed(revision: Revision) -> Revision:
    """Released for good: hashed, its title the write-up's when it is the newest, and in the record
    book.
    """
    writeup = revision.writeup
    revision.digest = revision.text_digest()
    _kept(revision)
    # An old revision can be brought in late; it must not give its title back to the write-up.
    later = writeup.revisions.released().filter(number__gt=revision.number)
    title = texts.parse_once(revision.text).title
    if title and not later.exists():
        writeup.title = title
        _kept(writeup)
    record(WriteUp.KIND, writeup)
    record(Revision.KIND, revision)
    return revision


def _by(author: Person) -> dict[str, Any]:
    """Whose draft a new one is."""
    return {"author_id": author.pk, "writers": [author.pk]}


def _locked(revision: Revision) -> Revision:
    """The row as it stands now, held until the transaction ends, so that two people can't pass each
    other.
    """
    rows = Revision.objects.select_for_update(of=("self",)).select_related("writeup")
    return rows.get(pk=revision.pk)


def _kept(row: Row) -> Row:
    """The row, checked as a whole and saved. Raises Refused with what its fields and constraints
    say.
    """
    try:
        row.full_clean()
        # A savepoint: on PostgreSQL a failed insert would otherwise spoil the whole transaction.
        with transaction.atomic():
            row.save()
    except ValidationError as error:
        raise make_refusal(error) from error
    except IntegrityError as error:
        raise Refused(
            gettext("Somebody else changed this just now. Open the page again.")
        ) from error
    return row


def _must_rehearse(revision: Revision, message: str) -> None:
    found = texts.findings_of(revision.text, name=revision.writeup.name)
    if blocks(found):
        raise Refused(message, (say_line(finding.line, say(finding.remark)) for finding in found))
