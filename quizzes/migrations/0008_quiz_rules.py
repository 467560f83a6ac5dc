import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.utils import timezone

COPIED = ("size", "critical_percent", "parts", "minutes", "wait_days", "sittings_a_day", "recall_percent")


def copy_rules(apps, schema_editor):
    """The rules that each quiz has become their first version; who set them, and when, nobody wrote down."""
    now = timezone.now()
    for quiz in apps.get_model("quizzes", "Quiz").objects.order_by("pk"):
        apps.get_model("quizzes", "QuizRules").objects.create(
            quiz=quiz,
            writeups=sorted(quiz.writeups.values_list("name", flat=True)),
            recorded_at=now,
            **{field: getattr(quiz, field) for field in COPIED},
        )


class Migration(migrations.Migration):
    dependencies = [("quizzes", "0007_once"), migrations.swappable_dependency(settings.AUTH_USER_MODEL)]

    operations = [
        migrations.CreateModel(
            name="QuizRules",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("writeups", models.JSONField(blank=True, default=list, help_text="The names of the write-ups that it asks about.")),
                ("size", models.PositiveIntegerField(default=12, help_text="How many questions at least.")),
                ("critical_percent", models.PositiveIntegerField(default=100, help_text="How many of the critical questions come; 100: every one.", validators=[django.core.validators.MaxValueValidator(100)])),
                ("parts", models.JSONField(blank=True, default=list, help_text="How many questions at least come from which phase or step of a write-up.")),
                ("minutes", models.PositiveIntegerField(default=0, help_text="The time for a sitting; 0: as long as it takes.", validators=[django.core.validators.MaxValueValidator(600)])),
                ("wait_days", models.PositiveIntegerField(default=1, help_text="Days between a sitting not passed and the next one.", validators=[django.core.validators.MaxValueValidator(366)])),
                ("sittings_a_day", models.PositiveIntegerField(default=2, help_text="How many sittings a day, counted on the day they begin and on the day they end; 0: any number.")),
                ("recall_percent", models.PositiveIntegerField(default=90, help_text="The predicted recall below which a question is about to be forgotten.", validators=[django.core.validators.MinValueValidator(50), django.core.validators.MaxValueValidator(99)])),
                ("recorded_at", models.DateTimeField()),
                ("by", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("quiz", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="versions", to="quizzes.quiz")),
            ],
            options={"verbose_name_plural": "quiz rules", "ordering": ["quiz", "pk"]},
        ),
        migrations.RunPython(copy_rules, migrations.RunPython.noop),
    ]
