"""Which rows of this app can nobody change any more? Released revisions, and every version of the shop's rules."""

from django.db import migrations

from procedures.records.sealing import sealed


class Migration(migrations.Migration):
    dependencies = [("procedures", "0001_initial")]

    operations = [
        sealed(
            "procedures_revision",
            "A released revision can be neither changed nor deleted.",
            when="OLD.released_on IS NOT NULL",
        ),
        sealed("procedures_shoprules", "The rules of the shop are kept as they were written."),
    ]
