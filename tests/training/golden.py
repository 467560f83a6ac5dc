"""What is the exact text and digest of an entry of each kind and version, from rows that are the
same on every day?

`python -m tests.training.golden` adds the entries of kinds and versions that golden_entries.json
has not yet; it never changes one that is there. The file locks the format, so that a shop's old
entries stay true. That the format is right is shown elsewhere: the digests are worked out again by
the stranger's program in training/records/book/README.md.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "golden_entries.json"
WRITTEN_AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
ROWS = ("full", "bare")


def kept() -> dict[tuple[str, str], dict[str, Any]]:
    """Every golden entry by its kind (with version) and row."""
    return {
        (entry["kind"], entry["made_of"]): entry
        for entry in json.loads(FILE.read_text(encoding="utf-8"))
    }


def wanted() -> list[tuple[str, str]]:
    """Every kind and version there is, each with a full and a bare row."""
    from procedures.models.booking import kinds, list_written_kinds

    return [
        (text, made_of)
        for kind in sorted(kinds())
        for text in sorted(list_written_kinds(kind))
        for made_of in ROWS
    ]


def made(text: str, made_of: str) -> dict[str, Any]:
    """The entry as the program makes it, as the first one of a book."""
    from procedures.models.booking import kind_and_version, kinds
    from tests.procedures.book import body_of
    from training.records.book.chain import START, link

    kind, version = kind_and_version(text)
    row = _row(kinds()[kind], bare=made_of == "bare")
    one = link(
        number=1,
        kind=text,
        row=row.pk,
        written_at=WRITTEN_AT,
        body=body_of(row, version),
        previous=START,
    )
    return {"kind": text, "made_of": made_of, "row": row.pk, "body": one.body, "digest": one.digest}


def _row(model: Any, *, bare: bool) -> Any:
    """A row of the model; a full one with a full and a bare row of each table that its entries tell
    with it.
    """
    from procedures.models.booking import Parts
    from tests.training.fixed_rows import fixed, with_parts

    row = fixed(model, bare=bare)
    for line in (
        line for layout in model.BOOK.values() for line in layout if isinstance(line, Parts)
    ):
        accessor = line.of or line.key
        part = next(
            found for found in model._meta.related_objects if found.get_accessor_name() == accessor
        ).related_model
        with_parts(
            row, **{accessor: [] if bare else [fixed(part, bare=False), fixed(part, bare=True)]}
        )
    return row


def main() -> None:
    there = kept() if FILE.exists() else {}
    entries = [*there.values(), *(made(*key) for key in wanted() if key not in there)]
    FILE.write_text(json.dumps(entries, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    print(f"{len(entries) - len(there)} entries added to {FILE.name}.")


if __name__ == "__main__":
    import os

    import tests.home  # noqa: F401  (no shop's data)

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
    import django

    django.setup()
    main()
