"""What would the record book have been told? Stands in for it in tests of this app alone."""

from procedures.models.booking import newest_version, reader

ENTRIES: list[tuple[str, dict[str, object]]] = []


def body_of(row, version=0):
    """What an entry says of a row, by one version of its list or by the newest."""
    return reader(type(row), version or newest_version(type(row))).read(row)


def record(kind, row):
    ENTRIES.append((kind, body_of(row)))
