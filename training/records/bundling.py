"""How is the evidence of a whole shop read at the price of one row a person?

The database joins all of a person's rows of one kind into one text, which costs a fraction of
handing them over one by one. `training.standing.shelf` takes the texts apart again, of those people
and levels only that a question is about.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from django.db.models import Aggregate, F, Func, QuerySet, TextField, Value
from django.db.models.functions import Cast, Coalesce

from training.standing.shelf import Row, Shelf, Slips

BundleReader = Callable[[str, str, Sequence[str]], Row]
"""Makes one entry from the login, the name of what it is about, and its columns: day and key first.
"""

# Control characters, which JSON and the texts of days and instants never hold as they are.
_COLUMN, _ROW = "\x1f", "\x1e"


class _Columns(Func):
    """The columns of one row in one text."""

    # `||` is the one way to join texts that both databases have; a null in it makes all null.
    arg_joiner = f" || '{_COLUMN}' || "
    template = "%(expressions)s"
    output_field = TextField()


class _Bundle(Aggregate):
    """The rows of one group in one text."""

    # SQLite's name; PostgreSQL has the same under another one.
    function = "GROUP_CONCAT"
    template = f"%(function)s(%(expressions)s, '{_ROW}')"
    output_field = TextField()

    def as_postgresql(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        return self.as_sql(compiler, connection, function="STRING_AGG", **extra)


# In any order, since to sort in the database costs more than to sort the few that are read.
def bundle_rows(rows: QuerySet[Any], about: str, *columns: str, what: str = "") -> QuerySet[Any]:
    """A query for one text for each person: of every row what it is about, the day on which it
    happened, its key and its columns (nothing for a null), in any order.

    `what` is a word that each row carries as its last column, where rows of several tables are to
    lie in one drawer: in the order of these words.
    """
    kept = [
        Coalesce(Cast(name, TextField()), Value(""))
        # Only what may be null is wrapped: on 300,000 rows each needless cast is felt.
        if name.endswith(("_id", "_or_null"))
        else F(name)
        for name in columns
    ]
    text = _Columns(F(about), F("happened_on"), F("pk"), *kept, *([Value(what)] if what else []))
    # `order_by()` takes the table's own order off, by which Django would group as well.
    grouped = rows.order_by().values("person_id").annotate(bundle=_Bundle(text))
    texts: QuerySet[Any] = grouped.values_list("person_id", "bundle")
    return texts


def join_rows(rows: QuerySet[Any], *columns: str) -> QuerySet[Any]:
    """A query for all rows in one text, in any order: by it one sees whether any of them has
    changed.
    """
    kept = [Coalesce(Cast(name, TextField()), Value("")) for name in columns]
    text: QuerySet[Any] = group_all(rows).annotate(text=_Bundle(_Columns(*kept))).values("text")
    return text


def group_all(rows: QuerySet[Any]) -> QuerySet[Any]:
    """All rows as one group, so that what is worked out over them can stand within another query
    (`aggregate` asks at once).
    """
    grouped: QuerySet[Any] = rows.order_by().annotate(alike=Value(1)).values("alike")
    return grouped


def shelf(
    texts: Sequence[Mapping[int, str]],
    read: BundleReader[Row],
    logins: Mapping[int, str],
    names: Mapping[str, str],
) -> Shelf[Row]:
    """The rows of bundles on a shelf; `names` says what a row is about, of the first column's
    text.
    """
    # Only those with entries, so that `people` of the shelf are no longer than they must be.
    keys = {login: key for key, login in logins.items() if any(key in bundle for bundle in texts)}
    by_table = len(texts) > 1

    def opened(login: str) -> Slips[Row, str]:
        slips: dict[str, list[str]] = {}
        for bundle in texts:
            text = bundle.get(keys[login])
            for row in text.split(_ROW) if text else ():
                about, _, columns = row.partition(_COLUMN)
                # Not `setdefault`, which makes a list for each row only to throw it away.
                found = slips.get(about)
                if found is None:
                    slips[about] = [columns]
                else:
                    found.append(columns)
        named = {names[about]: rows for about, rows in slips.items()}
        return Slips(named, lambda name, rows: _read(read, login, name, rows, by_table), _day_of)

    return Shelf(keys, opened)


def _read(
    read: BundleReader[Row], login: str, name: str, rows: list[str], by_table: bool
) -> list[Row]:
    """The rows by table and key: those of the first table come first, as everybody reads them."""
    # Most drawers hold one reading or one sign-off, and need no sorting.
    if len(rows) == 1:
        return [read(login, name, rows[0].split(_COLUMN))]
    split = [row.split(_COLUMN) for row in rows]
    split.sort(key=_by_table_and_key if by_table else _by_key)
    return [read(login, name, columns) for columns in split]


def _by_table_and_key(columns: Sequence[str]) -> tuple[str, int]:
    return columns[-1], int(columns[1])


def _by_key(columns: Sequence[str]) -> int:
    return int(columns[1])


def _day_of(slip: str) -> date:
    # The day stands first in a slip, and every ISO day has ten letters.
    return day(slip[:10])


day = lru_cache(maxsize=4096)(date.fromisoformat)
"""A day from its text; the same few thousand days come again and again."""


def instant(text: str) -> datetime:
    """An aware instant from the database's text: SQLite keeps UTC without saying so, PostgreSQL
    says its offset.
    """
    # PostgreSQL writes a whole-hour offset as +00, which ends in a sign and two digits.
    return datetime.fromisoformat(text if text[-3] in "+-" else text + "+00:00")


def is_yes(text: str) -> bool:
    """A yes or no from the database's text: 1 or 0 in SQLite, true or false in PostgreSQL."""
    return text in {"1", "true"}
