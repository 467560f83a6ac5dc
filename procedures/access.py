"""Which write-ups and revisions may this person see, and what may be done with one?"""

from datetime import date
from typing import Any, Protocol

from django.core.exceptions import PermissionDenied
from django.http import Http404

from procedures.models import Revision, RevisionQuerySet, ShopRules, WriteUp

WRITE, RELEASE = "procedures.write", "procedures.release"


class Person(Protocol):
    """Somebody signed in, as far as this app asks."""

    @property
    def pk(self) -> Any: ...

    def has_perm(self, perm: str) -> bool: ...


def may_write(person: Person) -> bool:
    """Whether this person may write and change drafts, and sees them."""
    return person.has_perm(WRITE)


def must_write(person: Person) -> None:
    """Raises PermissionDenied for somebody who may not write."""
    if not may_write(person):
        raise PermissionDenied


def revisions_for(person: Person, *, today: date) -> RevisionQuerySet:
    """The revisions that this person may know of: all for those who write, the released ones for
    everybody else.
    """
    return Revision.objects.all() if may_write(person) else Revision.objects.released(today)


def revision_for(person: Person, name: str, number: int, *, today: date) -> Revision:
    """This revision with its write-up and its people; raises Http404 where the person may not know
    of it.
    """
    rows = revisions_for(person, today=today).select_related("writeup", "author", "released_by")
    try:
        return rows.get(writeup__name=name, number=number)
    except Revision.DoesNotExist:
        raise Http404 from None


def current_revision(name: str, *, today: date) -> Revision:
    """The revision to work by of this write-up, for everybody; raises Http404 where none is
    released.
    """
    found = (
        Revision.objects.current(today).filter(writeup__name=name).select_related("writeup").first()
    )
    if found is None:
        raise Http404
    return found


def revision_named(person: Person, name: str, number: str, *, today: date) -> Revision:
    """As revision_for, with the number as somebody sent it; the current revision for what is no
    number.
    """
    if not number.isdecimal() or len(number) > 6:
        return current_revision(name, today=today)
    return revision_for(person, name, int(number), today=today)


def revision_to_write(person: Person, name: str, number: int, *, today: date) -> Revision:
    """This revision for somebody who may write; raises Http404 where it may not be known, else
    PermissionDenied.
    """
    revision = revision_for(person, name, number, today=today)
    must_write(person)
    return revision


def writeup_to_write(person: Person, name: str) -> WriteUp:
    """This write-up for somebody who may write; raises PermissionDenied, or Http404 when there is
    none.
    """
    must_write(person)
    try:
        return WriteUp.objects.get(name=name)
    except WriteUp.DoesNotExist:
        raise Http404 from None


def rules_version(number: int) -> ShopRules:
    """This version of the shop's rules; raises Http404 when there is none."""
    found = ShopRules.objects.select_related("author").filter(pk=number).first()
    if found is None:
        raise Http404
    return found


def why_not_release(person: Person, revision: Revision) -> str:
    """Why this person may not release this revision, in a sentence; empty when nothing but the
    rehearsal stands against it.
    """
    if revision.released_on is not None:
        return "This revision is released already."
    if not person.has_perm(RELEASE):
        return "Your sign-in does not allow releasing. Ask a senior mechanic or the owner."
    if revision.sent_to_review_at is None:
        return "This is still a draft. Send it to review first."
    if person.pk in (revision.author_id, *revision.writers):
        return "You changed this draft, so another person must release it."
    return ""
