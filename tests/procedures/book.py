"""What would the record book have been told? Stands in for it in tests of this app alone."""

from procedures.models.booking import body_of

ENTRIES: list[tuple[str, dict[str, object]]] = []


def record(kind, row):
    ENTRIES.append((kind, body_of(row)))
