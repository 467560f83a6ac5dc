"""What did the record book hold of the rows of an older schema, and how was it written then?

The layouts of the models say it, since a list that was written into a shop's book never changes
again; here they are read by other means than the program's own, from the models of that day.
"""

import hashlib
from collections.abc import Iterator
from typing import Any

from procedures.models.booking import HOLE, Column, Parts

# Their entries were written by a migration, for the rows that there were before it.
TAKEN_IN = {"quizrules", "questionversion", "questionconfirmed", "questionwithdrawn"}


def record_rows(apps: Any, made: dict[str, Any], applied: set[str]) -> None:
    """An entry for each of these rows that the book held after these migrations."""
    from django.utils import timezone

    from procedures.models.booking import kinds, write_kind
    from training.records.book.chain import START, link

    entries, heads = apps.get_model("training", "BookEntry"), apps.get_model("training", "BookHead")
    head, _ = heads.objects.get_or_create(pk=1, defaults={"digest": START})
    columns = ("number", "kind", "row", "written_at", "body", "previous", "digest")
    written = []
    for kind, model in sorted(kinds().items()):
        row = made.get(model._meta.model_name)
        if row is None or not _was_in_the_book(model, applied) or _is_open(row):
            continue
        # The first list grew on the first day: an old entry is short of what came in then.
        fit = [number for number, layout in model.BOOK.items() if _has_all(apps, model, layout)]
        version = max(fit, default=1)
        entry = link(
            number=head.number + 1,
            kind=write_kind(kind, version),
            row=row.pk,
            written_at=timezone.now(),
            body=_tell(apps, row, model.BOOK[version]),
            previous=head.digest,
        )
        written.append(entries(**{name: getattr(entry, name) for name in columns}))
        head.number, head.digest = entry.number, entry.digest
    entries.objects.bulk_create(written)
    head.save()


def _was_in_the_book(model: Any, applied: set[str]) -> bool:
    # Those that came in later are all taken in by `migrate` itself, at the end.
    if hasattr(model, "BOOK_SINCE"):
        return False
    return model._meta.model_name not in TAKEN_IN or "quizzes_in_book" in applied


def _is_open(row: Any) -> bool:
    return row._meta.model_name == "sitting" and row.recorded_at is None


def _has_all(apps: Any, model: Any, layout: Any) -> bool:
    """Whether the schema of that day had every column of a layout."""
    try:
        names = {field.name for field in apps.get_model(model._meta.label)._meta.concrete_fields}
    except LookupError:
        return False
    for line in _lines(layout):
        if line.later or line.key == "pk":
            continue
        if isinstance(line, Parts):
            part, _ = _part_of(model, line)
            if not _has_all(apps, part, line.columns):
                return False
        elif (line.of or line.key).split(".")[0] not in names:
            return False
    return True


def _lines(layout: Any) -> Iterator[Column | Parts]:
    return (Column(line) if isinstance(line, str) else line for line in layout)


def _part_of(model: Any, line: Parts) -> tuple[Any, str]:
    """The table whose rows belong to a row, and the column that names it."""
    accessor = line.of or line.key
    found = next(one for one in model._meta.related_objects if one.get_accessor_name() == accessor)
    return found.related_model, found.field.name


def _tell(apps: Any, row: Any, layout: Any) -> dict[str, Any]:
    """The body of an entry, told by a layout from a row of that day."""
    body = {}
    for line in _lines(layout):
        if isinstance(line, Parts):
            value, is_there = _tell_parts(apps, row, line)
        else:
            names = (line.of or line.key).split(".")
            is_there = _is_there(row, names)
            value = _at(row, names) if is_there else None
            if is_there and line.sha256:
                value = hashlib.sha256(value.encode()).hexdigest()
        if is_there and (value or not line.later):
            body[line.key] = value
    return body


def _tell_parts(apps: Any, row: Any, line: Parts) -> tuple[list[dict[str, Any]], bool]:
    from django.apps import apps as now

    part, back = _part_of(now.get_model(row._meta.label), line)
    try:
        rows = apps.get_model(part._meta.label).objects.filter(**{f"{back}_id": row.pk})
    except LookupError:
        return [], False
    return [_tell(apps, one, line.columns) for one in rows.order_by(line.order or "pk")], True


def _is_there(row: Any, names: list[str]) -> bool:
    found: Any = row
    for name in names:
        if found is not None and not hasattr(found, name):
            return False
        found = found and getattr(found, name)
    return True


def _at(row: Any, names: list[str]) -> Any:
    if row is None:
        return None
    found = getattr(row, names[0])
    if len(names) > 1:
        return _at(found, names[1:])
    return _name_of(found) if hasattr(found, "_meta") else found


def _name_of(row: Any) -> Any:
    """By what entries name such a row."""
    from django.apps import apps as now

    pieces = HOLE.split(now.get_model(row._meta.label).BOOK_NAME)
    told = [_at(row, column.split(".")) for column in pieces[1::2]]
    if len(told) == 1 and not pieces[0] and not pieces[2]:
        return told[0]
    after = zip(told, pieces[2::2], strict=True)
    return pieces[0] + "".join(f"{one}{text}" for one, text in after)
