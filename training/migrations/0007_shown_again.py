import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from procedures.records.sealing import sealed


class Migration(migrations.Migration):

    dependencies = [
        ('training', '0006_bench'),
    ]

    operations = [
        migrations.CreateModel(
            name='SentObservation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('mark', models.CharField(max_length=64)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='ShownAgain',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('happened_on', models.DateField()),
                ('recorded_at', models.DateTimeField(db_index=True)),
                ('steps', models.JSONField(blank=True, default=list, help_text='The ids of the steps; none for an observation without its check sheet.')),
                ('meaning', models.TextField(help_text='The sentence that the senior put the name under.')),
                ('printed_name', models.CharField(max_length=120)),
                ('shown_digest', models.CharField(help_text='SHA-256 of exactly what was shown.', max_length=64)),
                ('note', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['pk'],
                'abstract': False,
            },
        ),
        migrations.RemoveConstraint(
            model_name='sentjob',
            name='one_job_for_each_mark',
        ),
        migrations.RenameField(
            model_name='sentjob',
            old_name='job',
            new_name='entry',
        ),
        migrations.AddField(
            model_name='observation',
            name='photos',
            field=models.JSONField(blank=True, default=list, help_text='The SHA-256 of each photo, as it is kept.'),
        ),
        migrations.AddConstraint(
            model_name='sentjob',
            constraint=models.UniqueConstraint(fields=('person', 'mark'), name='one_sentjob_for_each_mark'),
        ),
        migrations.AddField(
            model_name='sentobservation',
            name='entry',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='sent', to='training.observation'),
        ),
        migrations.AddField(
            model_name='sentobservation',
            name='person',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='shownagain',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='shown_again_by', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='shownagain',
            name='observation',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='shown_again', to='training.observation'),
        ),
        migrations.AddField(
            model_name='shownagain',
            name='recorded_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='sentobservation',
            constraint=models.UniqueConstraint(fields=('person', 'mark'), name='one_sentobservation_for_each_mark'),
        ),
        # Django rebuilds a table on SQLite to give it a column, which takes its triggers off.
        *(
            sealed(table, "An entry is never changed or deleted; a later entry corrects it.")
            for table in ("training_observation", "training_shownagain")
        ),
    ]
