"""One table for the marks of all forms, and what the site itself writes once is held once by the database.

Marks of jobs and observations that have arrived are taken along. Rows that are there already stay as they are: `once` is
empty in them, so that not even two of a kind stand against this step.
"""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps


def take_along(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    taken = apps.get_model("training", "Taken")
    for kind, name in (("job", "SentJob"), ("observation", "SentObservation")):
        rows = apps.get_model("training", name).objects.order_by("pk").values_list("person_id", "mark", "entry_id")
        taken.objects.bulk_create(
            (taken(kind=kind, person_id=person, mark=mark, row=row) for person, mark, row in rows),
            batch_size=500, ignore_conflicts=True,
        )
    if editor.connection.vendor == "postgresql":
        editor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # or the tables could not be altered in this transaction


class Migration(migrations.Migration):
    dependencies = [("training", "0010_accounts")]

    operations = [
        migrations.CreateModel(
            name="Taken",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(max_length=30)),
                ("mark", models.CharField(max_length=64)),
                ("row", models.BigIntegerField(help_text="The key of the entry.")),
                ("person", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="+", to=settings.AUTH_USER_MODEL)),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("kind", "mark"), name="one_entry_for_each_mark",
                        violation_error_message="This was written down already. Nothing was written twice.",
                    )
                ],
            },
        ),
        migrations.RunPython(take_along, migrations.RunPython.noop),
        migrations.DeleteModel(name="SentJob"),
        migrations.DeleteModel(name="SentObservation"),
        migrations.AddField("reading", "once", models.BooleanField(editable=False, null=True)),
        migrations.AddField("signoff", "once", models.BooleanField(editable=False, null=True)),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.UniqueConstraint(
                condition=models.Q(("once", True)), fields=("person", "revision", "happened_on"), name="one_reading_a_day",
                violation_error_message="You have said today that you studied this revision. Nothing was written twice.",
            ),
        ),
        migrations.AddConstraint(
            model_name="signoff",
            constraint=models.UniqueConstraint(
                condition=models.Q(("once", True)), fields=("person", "shown_digest"), name="one_sign_off_of_a_sheet",
                violation_error_message="This was signed already. Nothing was written twice.",
            ),
        ),
    ]
