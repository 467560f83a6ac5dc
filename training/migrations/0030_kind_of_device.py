"""Sessions tell the kind of a device in each shop, also in one that took step 0014 in the hour after
it had come: it kept the name of the browser instead.
"""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps


def name_the_kind(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    sessions = apps.get_model("training", "Session")
    table = sessions._meta.db_table
    with editor.connection.cursor() as cursor:
        told = editor.connection.introspection.get_table_description(cursor, table)
    if "kind" in {column.name for column in told}:
        return
    editor.execute(f"ALTER TABLE {table} RENAME COLUMN browser TO kind")
    # A browser's name is no kind of device; whoever is signed in stays so.
    sessions.objects.update(kind="")
    if editor.connection.vendor == "postgresql":
        editor.execute(f"ALTER TABLE {table} ALTER COLUMN kind TYPE varchar(20)")


class Migration(migrations.Migration):
    dependencies = [("training", "0029_confirmed_mail")]
    operations = [migrations.RunPython(name_the_kind, migrations.RunPython.noop)]
