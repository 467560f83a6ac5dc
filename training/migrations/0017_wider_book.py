"""From here on the record book holds workshops and levels; those that are there are taken in (BOOK_SINCE)."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("training", "0016_quizzes_in_book")]
    operations = []
