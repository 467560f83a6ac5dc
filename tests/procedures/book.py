"""What would the record book have been told? Stands in for it in tests of this app alone."""

ENTRIES: list[tuple[str, dict[str, object]]] = []


def record(kind, row):
    ENTRIES.append((kind, row.book_body()))
