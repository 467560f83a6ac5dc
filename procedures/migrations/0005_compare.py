"""What does a single change ask, where somebody decided so? Sealed with the release of its revision."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from procedures.records.sealing import sealed

RELEASED = "EXISTS (SELECT 1 FROM procedures_revision WHERE id = {row}.revision_id AND released_on IS NOT NULL)"


class Migration(migrations.Migration):

    dependencies = [
        ('procedures', '0004_proofing'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='AskedOfChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('step', models.TextField(blank=True, help_text='Its id; empty for what stands around the steps.')),
                ('asks', models.CharField(choices=[('nothing', 'nothing'), ('read again', 'read again'), ('answer again', 'answer again'), ('show again', 'show again')], max_length=20)),
                ('suggested', models.CharField(choices=[('nothing', 'nothing'), ('read again', 'read again'), ('answer again', 'answer again'), ('show again', 'show again')], help_text='What the comparison suggested then.', max_length=20)),
                ('reason', models.TextField(blank=True, help_text='Why less is asked than suggested.')),
                ('change', models.CharField(help_text='SHA-256 of the change that it was decided for.', max_length=64)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('revision', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='decisions', to='procedures.revision')),
            ],
            options={
                'ordering': ['revision', 'step'],
                'constraints': [models.UniqueConstraint(fields=('revision', 'step'), name='asked_of_change_once'), models.CheckConstraint(condition=models.Q(('asks__in', ['nothing', 'read again', 'answer again', 'show again']), ('suggested__in', ['nothing', 'read again', 'answer again', 'show again'])), name='asked_of_change_known')],
            },
        ),
        sealed(
            "procedures_askedofchange",
            "What a change asks is decided before the release.",
            when=RELEASED.format(row="OLD"),
            insert_when=RELEASED.format(row="NEW"),
        ),
    ]
