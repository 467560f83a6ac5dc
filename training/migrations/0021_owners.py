"""Who owns the shop stands beside what they do at the bench; owners of before do no bench work.

The record book holds the new column: after this migration each owner gets a further entry (BOOK_AGAIN of the model).
"""

from django.db import migrations, models


def tell_owners(apps, schema_editor):
    apps.get_model("training", "User").objects.filter(trade="owner").update(owner=True)


class Migration(migrations.Migration):
    dependencies = [("training", "0020_programs")]

    operations = [
        migrations.AddField(
            model_name="user",
            name="owner",
            field=models.BooleanField(default=False, help_text="Owns the shop, whatever the role."),
        ),
        migrations.RunPython(tell_owners, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="user",
            name="trade",
            field=models.CharField(
                choices=[
                    ("trainee", "trainee"),
                    ("mechanic", "mechanic"),
                    ("senior", "senior mechanic"),
                    ("owner", "none (an owner who does no bench work)"),
                ],
                max_length=20,
            ),
        ),
        migrations.RemoveConstraint(model_name="user", name="trade_known"),
        migrations.AddConstraint(
            model_name="user",
            constraint=models.CheckConstraint(
                condition=models.Q(trade__in=["trainee", "mechanic", "senior", "owner"]),
                name="trade_known",
                violation_error_message="The role is trainee, mechanic, senior or owner.",
            ),
        ),
        migrations.AddConstraint(
            model_name="user",
            constraint=models.CheckConstraint(
                condition=models.Q(("trade", "owner"), _negated=True) | models.Q(owner=True),
                name="without_bench_work_owner",
                violation_error_message="Only an owner does no bench work. Choose a role, or tick "
                "that this person owns the shop.",
            ),
        ),
    ]
