"""Which rows of this app can nobody change any more? Every entry, every version of a level's rules, every link."""

from django.db import migrations

from procedures.records.sealing import sealed

KEPT = "An entry is never changed or deleted; a later entry corrects it."
TABLES = (
    "training_reading",
    "training_paperpass",
    "training_job",
    "training_observation",
    "training_signoff",
    "training_standdown",
    "training_lift",
    "training_appointment",
    "training_void",
    "training_levelrules",
    "training_bookentry",
)


class Migration(migrations.Migration):
    dependencies = [("training", "0002_evidence")]

    operations = [sealed(table, KEPT) for table in TABLES]
