"""Is this chain of entries whole, and if not, which entry is the first bad one?"""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from training.records.book.canonical import write_canonical

# As long as a digest, so that the first entry looks like every other one.
START = "0" * 64
SEAL = "seal"  # the kind of what is wrong with a table itself, and with none of its entries


@dataclass(frozen=True, slots=True)
class Link:
    """One entry as it is kept. `body` is canonical JSON; `previous` and `digest` are SHA-256 in
    hex.
    """

    number: int
    kind: str
    row: int
    written_at: datetime
    body: str
    previous: str
    digest: str


SEAL = "seal"
"""The kind of a break that is in no entry: a table that can be changed."""


@dataclass(frozen=True, slots=True)
class Break:
    """Where a chain is not whole: the entry's number and what is wrong with it."""

    number: int
    kind: str
    problem: str


def link(
    *, number: int, kind: str, row: int, written_at: datetime, body: Any, previous: str
) -> Link:
    """The next link of a chain: its digest is SHA-256 over the canonical JSON (RFC 8785) of all the
    rest.
    """
    text = write_canonical(body).decode()
    digest = _digest(number, kind, row, written_at, text, previous)
    return Link(number, kind, row, written_at, text, previous, digest)


def breaks(
    links: Iterable[Link],
    number: int = 1,
    previous: str = START,
    not_before: datetime | None = None,
) -> Iterator[Break]:
    """What is wrong with a chain, first things first; nothing for a whole chain. Reads as a stream.

    `number` and `previous` are what the first link must carry, and `not_before` is the instant of
    the one before it; all are taken for granted. A broken link is told once: the links after it are
    measured against what they themselves name.
    """
    expected_number, expected_previous = number, previous
    for entry in links:
        problem = _problem(entry, expected_number, expected_previous)
        # Equal is fine: entries of one write share their instant.
        if not problem and not_before is not None and entry.written_at < not_before:
            problem = (
                "it carries an earlier instant than the entry before it: the clock was set back, "
                "or somebody wrote it by hand"
            )
        if problem:
            yield Break(entry.number, entry.kind, problem)
        expected_number, expected_previous, not_before = (
            entry.number + 1,
            entry.digest,
            entry.written_at,
        )


def _problem(entry: Link, number: int, previous: str) -> str | None:
    # From the outside in: a gap, then the link, then the text; the first of them explains the
    # others.
    if entry.number != number:
        return f"entry {number} is missing: the book goes on with entry {entry.number}"
    if entry.previous != previous:
        return (
            "it does not follow from the entry before it: one was changed, dropped or slipped in "
            "here"
        )
    if (
        _digest(entry.number, entry.kind, entry.row, entry.written_at, entry.body, entry.previous)
        != entry.digest
    ):
        return "its text and its hash do not agree: the entry was changed after it was written"
    return None


def _digest(
    number: int, kind: str, row: int, written_at: datetime, text: str, previous: str
) -> str:
    """SHA-256 over the canonical JSON of all of an entry; `text` is the canonical JSON of its body.

    What is canonical stays so where it is put into something canonical (RFC 8785, 3.2.3: keys in
    order at each depth), so a body need not be read and written again to be hashed, and one that is
    no longer canonical has another hash.
    """
    rest = write_canonical(
        {"kind": kind, "number": number, "previous": previous, "row": row, "written_at": written_at}
    )
    # "body" sorts before all the other keys. What is no text any more gets a "?" and another hash.
    return hashlib.sha256(b'{"body":' + text.encode(errors="replace") + b"," + rest[1:]).hexdigest()
