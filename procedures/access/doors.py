"""Which write-ups and revisions may this person see, and which may be opened for writing?"""

from datetime import date

from django.http import Http404

from procedures.access import acts
from procedures.access.acts import Person
from procedures.models import Revision, RevisionQuerySet, ShopRules, WriteUp


def revisions_for(person: Person, *, today: date) -> RevisionQuerySet:
    """The revisions that this person may know of: all for those who write, the released ones for
    everybody else.
    """
    return (
        Revision.objects.all()
        if acts.WRITE.is_open_to(person)
        else Revision.objects.released(today)
    )


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
    # Six digits stay below what the databases' integers hold; longer ones would end in an error.
    if not number.isdecimal() or len(number) > 6:
        return current_revision(name, today=today)
    return revision_for(person, name, int(number), today=today)


def revision_to_write(person: Person, name: str, number: int, *, today: date) -> Revision:
    """This revision for somebody who may write; raises Http404 where it may not be known, else
    PermissionDenied.
    """
    revision = revision_for(person, name, number, today=today)
    acts.WRITE.must_be_open_to(person)
    return revision


def writeup_to_write(person: Person, name: str) -> WriteUp:
    """This write-up for somebody who may write; raises PermissionDenied, or Http404 when there is
    none.
    """
    acts.WRITE.must_be_open_to(person)
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
