from django.db import migrations

from procedures.records.sealing import sealed

ENDED = "EXISTS (SELECT 1 FROM quizzes_sitting s WHERE s.id = {row}.sitting_id AND s.recorded_at IS NOT NULL)"


class Migration(migrations.Migration):
    dependencies = [("quizzes", "0001_initial")]
    operations = [
        sealed("quizzes_questionversion", "A version of a question is never changed. Write the next one."),
        sealed("quizzes_sitting", "This sitting has ended and is sealed.", when="OLD.recorded_at IS NOT NULL"),
        sealed(
            "quizzes_answer",
            "This sitting has ended. Its answers are sealed.",
            when=ENDED.format(row="OLD"),
            insert_when=ENDED.format(row="NEW"),
        ),
    ]
