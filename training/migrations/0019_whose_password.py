"""Whose hand was in a password is worked out from the record book; the two columns beside the password go.

Who has chosen an own password in place of one set at the terminal before this migration is asked to choose once more: the
book has no entry of the first choice.
"""

from django.db import migrations, models

WHAT = [
    "link given", "password chosen by link", "password set at the terminal", "own password chosen",
    "second factor set up", "second factor taken off", "second factor reset",
]


class Migration(migrations.Migration):

    dependencies = [
        ('training', '0018_confirmed_and_ended'),
    ]

    operations = [
        migrations.RemoveField(
            model_name='user',
            name='password_given_at',
        ),
        migrations.RemoveField(
            model_name='user',
            name='password_own_since',
        ),
        migrations.AlterField(
            model_name='accountchange',
            name='what',
            field=models.CharField(choices=[(what, what) for what in WHAT], max_length=40),
        ),
    ]
