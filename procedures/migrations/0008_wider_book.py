"""From here on the record book holds the names and titles of write-ups; those that are there are taken in (BOOK_SINCE)."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("procedures", "0007_desk")]
    operations = []
