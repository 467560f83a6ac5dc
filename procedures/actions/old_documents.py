"""How does an old document become a draft, with its pictures, all or nothing?"""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from procedures.access import acts
from procedures.access.acts import Person
from procedures.actions.desk import bring_old
from procedures.actions.drawings import keep_drawing
from procedures.actions.writeups import save_draft, start_writeup
from procedures.models import Revision
from procedures.records.above import moment
from procedures.records.documents.draft import Drafted, draft_from_document
from procedures.records.documents.model import Document
from procedures.records.library import find_free_name
from procedures.records.refused import Refused, refuse_if
from procedures.records.wording.say import say


@transaction.atomic
def start_from_document(
    *, name: str, title: str, document: Document, author: Person, now: datetime | None = None
) -> Revision:
    """The first draft of a new write-up, guessed from an old document, with its pictures kept under
    names of their own. Raises Refused, with nothing kept, when the name is taken or not allowed.
    """
    refuse_if(acts.WRITE.why_not(author))
    # Before any row: each picture is an entry of the book.
    now = moment(now)
    drafted = draft_from_document(document, title=title, picture=find_free_name(name))
    guessed = drafted.guessed
    draft = start_writeup(name=name, title=guessed.title[:200], author=author, now=now)
    _keep_pictures(drafted, document, author, now)
    return save_draft(
        revision=draft, text=guessed.text, reason="", asks=draft.asks, by=author, now=now, seen=None
    )


@transaction.atomic
def bring_old_document(
    *, name: str, document: Document, by: Person | None, now: datetime
) -> Revision:
    """The first draft of a new write-up from a document of a folder, by nobody of this site; its
    pictures are added by `by`. Raises Refused when the name is taken or not allowed, or when there
    are pictures and nobody who may add them.
    """
    drafted = draft_from_document(document, picture=find_free_name(name))
    if document.pictures:
        if by is None:
            raise Refused(
                gettext("It has pictures. Say with --by LOGIN who adds them to the shop’s own.")
            )
        _keep_pictures(drafted, document, by, now)
    return bring_old(name=name, guessed=drafted.guessed, now=now)


def _keep_pictures(drafted: Drafted, document: Document, author: Person, now: datetime) -> None:
    places = {
        piece.picture: piece.place for piece in reversed(document.pieces) if piece.kind == "picture"
    }
    title = drafted.guessed.title
    for number, (name, shown) in enumerate(zip(drafted.pictures, document.pictures, strict=True)):
        # Whoever cannot see it is told where it came from; what it shows is the draft's to say.
        where = say(places[number])
        keep_drawing(
            name=name,
            title=f"Picture {number + 1}: {title}"[:120],
            description=(shown.said or f"Picture {number + 1} of the old procedure, {where}.")[
                :500
            ],
            data=shown.clean.data,
            by=author,
            now=now,
        )
