"""Where are answers to findings of the proofing kept? In a table that nobody changes."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from procedures.sealing import sealed


class Migration(migrations.Migration):
    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
        ("procedures", "0002_sealed"),
    ]

    operations = [
        migrations.CreateModel(
            name="ProofAnswer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("rule", models.CharField(max_length=10)),
                ("step", models.TextField(blank=True, help_text="The id of the step; empty for what stands outside steps.")),
                ("about", models.TextField(help_text="The words that the finding is about.")),
                ("reason", models.TextField(blank=True, help_text="Why it may stand; empty takes the answer back.", max_length=2000)),
                ("at", models.DateTimeField()),
                ("by", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("writeup", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="proof_answers", to="procedures.writeup")),
            ],
            options={"ordering": ["pk"]},
        ),
        sealed("procedures_proofanswer", "Answers to findings are kept as they were given."),
    ]
