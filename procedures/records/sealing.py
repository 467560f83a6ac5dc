"""Which rows does the database itself refuse to change, and are its triggers as they should be?

A form can forget, a shell can slip: append-only tables are held by triggers in SQLite and
PostgreSQL. Each model says with SEAL what is sealed; here is the only place that puts triggers on.
Django rebuilds a table on SQLite to change it, and its triggers go with the old one: so `migrate`
takes them all off before its plan and puts them on again at its end, on both databases, and no
migration need think of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations import RunSQL

from procedures.models.booking import Seal

VERBS = ("insert", "update", "delete", "truncate")
NAME = re.compile(rf"^(?P<table>\w+)_no_(?:{'|'.join(VERBS)})$")
SQLITE = """CREATE TRIGGER {table}_no_{verb} BEFORE {VERB} ON {table} WHEN {when}
BEGIN SELECT RAISE(ABORT, '{message}'); END"""
# The condition stands inside the function, because PostgreSQL allows no sub-select in a trigger's
# WHEN.
POSTGRESQL_BODY = """
BEGIN
  IF {when} THEN RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation'; END IF;
  RETURN {row};
END """
POSTGRESQL = """
CREATE OR REPLACE FUNCTION {table}_no_{verb}() RETURNS trigger LANGUAGE plpgsql AS $${body}$$;
CREATE OR REPLACE TRIGGER {table}_no_{verb} BEFORE {VERB} ON {table} FOR EACH {each}
  EXECUTE FUNCTION {table}_no_{verb}();
"""
# what a PostgreSQL trigger hands on when it lets the row pass
ROW = {"insert": "NEW", "update": "NEW", "delete": "OLD", "truncate": "NULL"}
# What PostgreSQL keeps of a trigger: its function's text, and in one number for each row (1),
# before (2), and the verb (insert 4, delete 8, update 16, truncate 32), as in its catalogue of
# triggers.
POSTGRESQL_KEPT = """
SELECT t.tgname, c.relname, p.prosrc, t.tgtype, t.tgenabled,
  t.tgqual IS NULL AND t.tgattr::text = ''
FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_proc p ON p.oid = t.tgfoid
JOIN pg_namespace n ON n.oid = c.relnamespace
WHERE NOT t.tgisinternal AND n.nspname = current_schema()
"""
POSTGRESQL_TYPES = {
    "insert": 1 + 2 + 4,
    "delete": 1 + 2 + 8,
    "update": 1 + 2 + 16,
    "truncate": 2 + 32,
}
# A row of the table that stands in the way. SQLite takes such a row out, without asking the trigger
# against deletion, when somebody writes INSERT OR REPLACE, so that nothing may come in under a key
# that something sealed has.
KEPT = "EXISTS (SELECT 1 FROM {table} AS kept WHERE {conditions})"
QUOTED, WHOLE = re.compile(r'"\w+"'), r"\g<0>"


def sealed(table: str, message: str, *, when: str = "", insert_when: str = "") -> RunSQL:
    """A step in migrations of the time when each put triggers on by itself. It does nothing any
    more: see SEAL.
    """
    # SQL and not Python: for a step in Python every model is made anew, of which there are dozens.
    return RunSQL(RunSQL.noop, RunSQL.noop)


def seals() -> dict[str, Seal]:
    """Every sealed table and its seal."""
    return {
        model._meta.db_table: model.SEAL for model in apps.get_models() if hasattr(model, "SEAL")
    }


def take_off(connection: BaseDatabaseWrapper) -> None:
    """Take every seal off, so that tables can be changed."""
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        for name, table in _triggers(connection):
            if _is_ours(name, table):
                _drop(connection, cursor, name, table)


def put_on(connection: BaseDatabaseWrapper, tables: frozenset[str] | None = None) -> None:
    """Put on every seal that is missing or another than it should be; only on these tables, where
    some are named.
    """
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        kept, wanted = _kept(connection), _wanted(connection)
        for name, table in kept:
            if (
                _is_ours(name, table)
                and (tables is None or table in tables)
                and kept[name, table] != wanted.get((name, table))
            ):
                _drop(connection, cursor, name, table)
        for (name, table), text in wanted.items():
            if (tables is None or table in tables) and kept.get((name, table)) != text:
                cursor.execute(_script(connection, name, table, text))


def problems(connection: BaseDatabaseWrapper) -> Iterator[tuple[str, str]]:
    """Each table whose triggers are not as its seal says, with what is wrong; also triggers that
    nobody knows of.
    """
    kept, wanted = _kept(connection), _wanted(connection)
    for (name, table), text in sorted(wanted.items()):
        if (name, table) not in kept:
            yield table, f"the trigger {name} is missing"
        elif kept[name, table] != text:
            yield table, f"the trigger {name} is not the one that belongs there"
    for name, table in sorted(kept.keys() - wanted.keys()):
        yield table, f"there is a trigger {name} that does not belong there"


def _is_ours(name: str, table: str) -> bool:
    found = NAME.match(name)
    return found is not None and found["table"] == table


def _wanted(connection: BaseDatabaseWrapper) -> dict[tuple[str, str], str]:
    """What the database must hold: the text of each trigger by its name and table. Tables that are
    not made yet have none.
    """
    there = set(connection.introspection.table_names())
    return {
        (f"{table}_no_{verb}", table): text
        for table, seal in seals().items()
        if table in there
        for verb, text in _texts(connection, table, seal)
    }


def _texts(connection: BaseDatabaseWrapper, table: str, seal: Seal) -> Iterator[tuple[str, str]]:
    old, new = seal.when.format(row="OLD") or "TRUE", seal.insert_when.format(row="NEW")
    conditions = {"update": [old, new], "delete": [old], "insert": [new]}
    if connection.vendor == "sqlite":
        replaced = list(_replaced(connection, table, seal))
        conditions["insert"] += [KEPT.format(table=table, conditions=one) for one in replaced]
        # An update can also move a row onto the key of a sealed one, by OR REPLACE.
        if seal.when:
            key = _primary_key(connection, table)
            conditions["update"] += [
                KEPT.format(table=table, conditions=f'{one} AND kept."{key}" <> OLD."{key}"')
                for one in replaced
            ]
    else:
        # TRUNCATE asks no trigger for each row, so the whole table is looked at once.
        conditions["truncate"] = [
            KEPT.format(table=table, conditions=seal.when.format(row="kept") or "TRUE")
        ]
    for verb, found in conditions.items():
        when = " OR ".join(f"({condition})" for condition in found if condition)
        if when:
            words = {
                "table": table,
                "verb": verb,
                "VERB": verb.upper(),
                "message": seal.message,
                "row": ROW[verb],
                "when": when,
            }
            yield (
                verb,
                (SQLITE if connection.vendor == "sqlite" else POSTGRESQL_BODY).format(**words),
            )


def _replaced(connection: BaseDatabaseWrapper, table: str, seal: Seal) -> Iterator[str]:
    """For each key of which a table of SQLite can hold one row only: that `kept` is sealed and has
    the key of NEW.
    """
    is_sealed = f" AND ({seal.when.format(row='kept')})" if seal.when else ""
    yield (
        f'kept."{_primary_key(connection, table)}" = '
        f'NEW."{_primary_key(connection, table)}"{is_sealed}'
    )
    with connection.cursor() as cursor:
        cursor.execute(
            'SELECT name, partial FROM pragma_index_list(%s) WHERE "unique" AND origin <> '
            "'pk' ORDER BY name",
            [table],
        )
        for name, partial in cursor.fetchall():
            cursor.execute("SELECT name FROM pragma_index_info(%s) ORDER BY seqno", [name])
            same = " AND ".join(
                f'kept."{column}" = NEW."{column}"' for (column,) in cursor.fetchall()
            )
            yield f"{same}{is_sealed}{_partial(cursor, name) if partial else ''}"


def _partial(cursor: Any, index: str) -> str:
    """That both rows are among those for which an index that holds only some asks for one of a
    kind.
    """
    cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'index' AND name = %s", [index])
    _, _, condition = cursor.fetchone()[0].partition(" WHERE ")
    return "".join(f" AND ({QUOTED.sub(rf'{row}.{WHOLE}', condition)})" for row in ("kept", "NEW"))


def _primary_key(connection: BaseDatabaseWrapper, table: str) -> str:
    with connection.cursor() as cursor:
        return connection.introspection.get_primary_key_column(cursor, table) or "id"


def _script(connection: BaseDatabaseWrapper, name: str, table: str, text: str) -> str:
    if connection.vendor == "sqlite":
        return text
    verb = name.rpartition("_")[2]
    each = "STATEMENT" if verb == "truncate" else "ROW"
    return POSTGRESQL.format(table=table, verb=verb, VERB=verb.upper(), body=text, each=each)


def _kept(connection: BaseDatabaseWrapper) -> dict[tuple[str, str], str]:
    """The text of each trigger that the database holds; one that is switched off, or fires
    otherwise, has another text.
    """
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name, tbl_name, sql FROM sqlite_master WHERE type = 'trigger'")
            return {(name, table): text for name, table, text in cursor.fetchall()}
        cursor.execute(POSTGRESQL_KEPT)
        return {
            (name, table): text
            if _fires(name, kind, enabled, plain=plain)
            else f"not firing: {text}"
            for name, table, text, kind, enabled, plain in cursor.fetchall()
        }


def _fires(name: str, kind: int, enabled: Any, *, plain: bool) -> bool:
    state = enabled.decode() if isinstance(enabled, bytes) else enabled
    # O fires in an ordinary session and A always; D is off and R only fires on a replica.
    return plain and state in ("O", "A") and POSTGRESQL_TYPES.get(name.rpartition("_")[2]) == kind


def _triggers(connection: BaseDatabaseWrapper) -> list[tuple[str, str]]:
    return list(_kept(connection))


def _drop(connection: BaseDatabaseWrapper, cursor: Any, name: str, table: str) -> None:
    on = "" if connection.vendor == "sqlite" else f' ON "{table}"'
    cursor.execute(f'DROP TRIGGER "{name}"{on}')


def before_migrations(*, using: str, plan: list[Any], **rest: Any) -> None:
    """Django is about to migrate: where there is anything to do, the tables have to be free."""
    # Without a plan nothing is rebuilt, and the tables need not stand open for a moment.
    if plan:
        take_off(connections[using])


def after_migrations(*, using: str, **rest: Any) -> None:
    """Django has migrated, or has emptied the tables of a test."""
    put_on(connections[using])
