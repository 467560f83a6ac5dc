from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('procedures', '0008_wider_book'),
    ]

    operations = [
        migrations.AddField(
            model_name='revision',
            name='released_at',
            field=models.DateTimeField(blank=True, help_text='The moment of release, of a revision that was released elsewhere; here it is recorded_at.', null=True),
        ),
    ]
