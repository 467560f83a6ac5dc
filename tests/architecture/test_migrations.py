"""Do the migrations say what the models say, and does the connected database hold the triggers?"""

import pytest
from django.core.management import call_command
from django.db import connection

SEALED = {
    "procedures_revision",
    "procedures_shoprules",
    "procedures_drawing",
    "quizzes_questionversion",
    "quizzes_sitting",
    "quizzes_answer",
    "quizzes_questionconfirmed",
    "quizzes_questionwithdrawn",
    "quizzes_gonethrough",
    "quizzes_talk",
    "quizzes_moretime",
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
    "training_accountchange",
    "training_secondfactorrule",
}


@pytest.mark.django_db
def test_the_models_need_no_new_migration():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.django_db
def test_every_append_only_table_has_its_triggers():
    query = (
        "SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger'"
        if connection.vendor == "sqlite"
        else "SELECT event_object_table, trigger_name FROM information_schema.triggers"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        found = set(cursor.fetchall())
    for table in SEALED:
        assert {name for held, name in found if held == table} >= {
            f"{table}_no_update",
            f"{table}_no_delete",
        }, table
