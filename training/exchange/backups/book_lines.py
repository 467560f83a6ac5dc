"""Which lines hold the record book for somebody outside, who has nothing but a standard library to
check it?
"""

from __future__ import annotations

import json
from collections.abc import Iterator

from training.records.book.canonical import write_canonical
from training.records.book.chain import Link
from training.records.keeping import head, links


def book_lines() -> Iterator[str]:
    """JSON lines: first the head with its number, then every entry up to it. Read as a stream."""
    # The head first: entries that come while the lines are read stay beyond it.
    number, digest = head()
    yield write_canonical({"book": "record book", "number": number, "head": digest}).decode() + "\n"
    for entry in links(1, number):
        yield _line(entry) + "\n"


def _line(entry: Link) -> str:
    """One entry in canonical JSON. A body that is none any more comes as a text, for the check to
    stumble over.
    """
    try:
        body = json.loads(entry.body)
        write_canonical(body)
    except (ValueError, RecursionError):
        body = entry.body
    return write_canonical(
        {
            "number": entry.number,
            "kind": entry.kind,
            "row": entry.row,
            "written_at": entry.written_at,
            "body": body,
            "previous": entry.previous,
            "digest": entry.digest,
        }
    ).decode()
