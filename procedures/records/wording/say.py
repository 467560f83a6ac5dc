"""How is a remark of the pure packages put into words for people?"""

from collections.abc import Mapping
from typing import Any, cast

from django.utils.functional import Promise

from procedures.records.wording.changes import CHANGES
from procedures.records.wording.documents import DOCUMENTS
from procedures.records.wording.editing import EDITING
from procedures.records.wording.faults import FAULTS
from procedures.records.wording.old_texts import OLD_TEXTS
from procedures.records.wording.pictures import PICTURES
from procedures.records.wording.pieces import Words, say_line
from procedures.records.wording.proof import PROOF
from procedures.records.wording.rehearsal import REHEARSAL
from procedures.writeup.remarks import Remark
from procedures.writeup.rules import BadRules

CATALOGUE: Mapping[str, Words] = {
    **FAULTS,
    **REHEARSAL,
    **PROOF,
    **PICTURES,
    **CHANGES,
    **OLD_TEXTS,
    **DOCUMENTS,
    **EDITING,
}
"""The words of every remark of this app, by its code."""


def say(remark: Remark, catalogue: Mapping[str, Words] = CATALOGUE) -> str:
    """The remark as sentences. One inside another is said inside it, and a list is written with
    commas.
    """
    words = catalogue[remark.code]
    args: dict[str, Any] = {
        name: say(value, catalogue) if isinstance(value, Remark) else value
        for name, value in remark.args
    }
    if not isinstance(words, str | Promise):
        return words(**args)
    written = {name: _written(value) for name, value in args.items()}
    return str(cast("str", words).format(**written))


def say_fault_of_rules(bad: BadRules) -> str:
    """Where the text of the shop's rules cannot be read, and why."""
    return say_line(bad.line, say(bad.remark))


def _written(value: object) -> object:
    return ", ".join(map(str, value)) if isinstance(value, tuple) else value
