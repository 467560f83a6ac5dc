import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('procedures', '0009_released_at'),
        ('training', '0017_wider_book'),
    ]

    operations = [
        migrations.CreateModel(
            name='AppointmentEnd',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('happened_on', models.DateField()),
                ('recorded_at', models.DateTimeField(db_index=True)),
                ('until', models.DateField()),
            ],
            options={
                'ordering': ['pk'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='EntryRules',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('days_back', models.PositiveIntegerField(validators=[django.core.validators.MaxValueValidator(3660)])),
                ('recorded_at', models.DateTimeField()),
            ],
            options={
                'verbose_name_plural': 'entry rules',
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='JobConfirmation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('happened_on', models.DateField()),
                ('recorded_at', models.DateTimeField(db_index=True)),
                ('confirmed', models.BooleanField()),
                ('reason', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['pk'],
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='job',
            name='needs_confirmation',
            field=models.BooleanField(default=False, help_text='Entered here, said to be watched: it counts once the watcher has confirmed it.'),
        ),
        migrations.AddField(
            model_name='levelrules',
            name='practice_from',
            field=models.DateField(blank=True, help_text='The day on which the shop began to write jobs down; practice is asked so many months after it.', null=True),
        ),
        migrations.AddConstraint(
            model_name='job',
            constraint=models.CheckConstraint(condition=models.Q(('needs_confirmation', False), ('watched_by__isnull', False), _connector='OR'), name='only_watched_jobs_wait', violation_error_message='A job that nobody watched waits for nobody.'),
        ),
        migrations.AddField(
            model_name='appointmentend',
            name='appointment',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='ends', to='training.appointment'),
        ),
        migrations.AddField(
            model_name='appointmentend',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='appointments_ended', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='appointmentend',
            name='recorded_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='entryrules',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='jobconfirmation',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='jobs_confirmed', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='jobconfirmation',
            name='job',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='confirmation', to='training.job'),
        ),
        migrations.AddField(
            model_name='jobconfirmation',
            name='recorded_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='appointmentend',
            constraint=models.CheckConstraint(condition=models.Q(('until__gte', models.F('happened_on'))), name='appointment_not_ended_backwards', violation_error_message='An appointment ends today or later. What was signed before stays signed.'),
        ),
        migrations.AddConstraint(
            model_name='jobconfirmation',
            constraint=models.CheckConstraint(condition=models.Q(('confirmed', True), models.Q(('reason', ''), _negated=True), _connector='OR'), name='refused_job_says_why', violation_error_message='Say why you do not confirm this job.'),
        ),
    ]
