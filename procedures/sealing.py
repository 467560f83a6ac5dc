"""Which rows may the database itself refuse to change?

A form can forget, a shell can slip: append-only tables are held by triggers in SQLite and PostgreSQL. Migrations of
all three apps build them from here.
"""

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import RunPython
from django.db.migrations.state import StateApps

SQLITE = """
CREATE TRIGGER IF NOT EXISTS {table}_no_{verb} BEFORE {VERB} ON {table} WHEN ({when})
BEGIN SELECT RAISE(ABORT, '{message}'); END;
"""
# The condition stands inside the function, because PostgreSQL allows no sub-select in a trigger's WHEN.
POSTGRESQL = """
CREATE OR REPLACE FUNCTION {table}_no_{verb}() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF {when} THEN RAISE EXCEPTION '{message}' USING ERRCODE = 'restrict_violation'; END IF;
  RETURN {row};
END $$;
CREATE OR REPLACE TRIGGER {table}_no_{verb} BEFORE {VERB} ON {table} FOR EACH ROW
EXECUTE FUNCTION {table}_no_{verb}();
"""
ROW = {"insert": "NEW", "update": "NEW", "delete": "OLD"}  # what a PostgreSQL trigger hands on when it lets the row pass


def sealed(table: str, message: str, *, when: str = "", insert_when: str = "") -> RunPython:
    """A migration step after which the rows of the table can be neither changed nor deleted.

    `when` is an SQL condition on OLD for tables whose rows are sealed later in their life. `insert_when` is one on NEW:
    rows for which it holds can't come in either, neither as new ones nor by a change. Both may hold a sub-select.
    """
    sealing = when or "TRUE"
    conditions = {"update": f"({sealing}) OR ({insert_when})" if insert_when else sealing, "delete": sealing}
    if insert_when:
        conditions["insert"] = insert_when

    def put_on(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
        script = SQLITE if editor.connection.vendor == "sqlite" else POSTGRESQL
        for verb, condition in conditions.items():
            words = {"table": table, "verb": verb, "VERB": verb.upper(), "message": message, "row": ROW[verb]}
            editor.execute(script.format(when=condition, **words), params=None)

    def take_off(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
        for verb in conditions:
            on = "" if editor.connection.vendor == "sqlite" else f" ON {table}"
            editor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb}{on}", params=None)

    return RunPython(put_on, take_off)
