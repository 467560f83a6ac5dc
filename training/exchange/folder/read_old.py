"""Which drafts do the old procedures of a folder become: documents, PDFs and plain texts?

Each is read as the page reads it, with the same limits; what in it is a guess, and what was left
out, is told with its place.
"""

from __future__ import annotations

import re

from django.utils.translation import gettext

from procedures.records.documents.draft import draft_from_document
from procedures.records.documents.model import BadDocument, Document
from procedures.records.documents.reading import read_document
from procedures.records.wording.say import say
from procedures.writeup.old_text import draft_from_old
from training.exchange.folder.delivery import BroughtOld, Delivery, Fault


def take_old(file: str, data: bytes, delivery: Delivery) -> None:
    """Put one old procedure into the delivery: as a draft, or as a fault."""
    name = re.sub("[^A-Za-z0-9_-]+", "-", file.rpartition(".")[0]).strip("-")[:80]
    if not name:
        wrong = gettext("the file's name gives no name")
        delivery.faults.append(
            Fault(file, 0, "", wrong, gettext("letters and digits, such as wash.txt"))
        )
        return
    try:
        found, said = read_document(file, data)
    except BadDocument as bad:
        delivery.faults.append(Fault(file, 0, "", say(bad.remark), ""))
        return
    delivery.notes += [f"{file}: {say(one)}" for one in said]
    if isinstance(found, Document):
        _take_document(file, name, found, delivery)
        return
    guessed = draft_from_old(found)
    delivery.old.append(BroughtOld(file, name, guessed))
    delivery.notes += [f"{file}, line {one.line}: {say(one.why)}" for one in guessed.unsure]


def _take_document(file: str, name: str, document: Document, delivery: Delivery) -> None:
    # Which names its pictures get is known only where they are kept.
    drafted = draft_from_document(document, picture=name)
    delivery.old.append(BroughtOld(file, name, drafted.guessed, document))
    delivery.notes += [
        f"{file}, {say(drafted.places[one.line])}: {say(one.why)}" for one in drafted.guessed.unsure
    ]
    for left in document.left_out:
        words = f" “{left.text}”" if left.text else ""
        delivery.notes.append(f"{file}, {say(left.place)}: left out:{words} {say(left.why)}")
