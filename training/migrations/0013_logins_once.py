"""A login is the same however its letters are written: from here on the database holds each one once."""

import sys
from collections import defaultdict

import django.db.models.functions.text
import training.models.people
from django.db import migrations, models
from django.db.models import Q


def keep_old_pairs(apps, schema_editor):
    """Logins of this shop that differ only in capitals stay, since the record book names them: all but the oldest go by their capitals."""
    alike = defaultdict(list)
    people = apps.get_model("training", "User").objects
    for person in people.order_by("pk"):
        alike[person.login.lower()].append(person)
    for pair in alike.values():
        for person in pair[1:]:
            people.filter(pk=person.pk).update(goes_by_capitals=True)
            sys.stderr.write(
                f"\n  The logins {pair[0].login} and {person.login} differ only in capitals. Both stay, since the record book names them. "
                f"Tell both people: {person.login} must be typed exactly like this, anything else is {pair[0].login}. "
                "If they are one person, close one account on the page People.\n"
            )


class Migration(migrations.Migration):

    dependencies = [
        ('training', '0012_void_sheets'),
    ]

    operations = [
        migrations.AddField(
            model_name='user',
            name='goes_by_capitals',
            field=models.BooleanField(default=False, editable=False, help_text='From before logins were one in any case; the record book holds it, so it stays.'),
        ),
        migrations.AlterField(
            model_name='user',
            name='name',
            field=models.CharField(max_length=120, validators=[training.models.people.check_name]),
        ),
        migrations.AlterField(
            model_name='workshop',
            name='name',
            field=models.CharField(max_length=120, unique=True, validators=[training.models.people.check_name]),
        ),
        migrations.RunPython(keep_old_pairs, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name='user',
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower('login'), condition=Q(goes_by_capitals=False), name='login_once_in_any_case',
                violation_error_message='Somebody has this login already; capitals make no other login.',
            ),
        ),
    ]
