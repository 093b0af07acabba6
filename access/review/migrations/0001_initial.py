# Made by makemigrations from the models.

import django.db.models.deletion
import uuid_utils.compat
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0001_initial'),
        ('records', '0001_initial'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Decision',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('week', models.DateField()),
                ('at', models.DateTimeField()),
                ('outcome', models.CharField(max_length=16)),
                ('note', models.CharField(blank=True, max_length=400)),
                ('check_again_on', models.DateField(blank=True, null=True)),
                ('flags', models.JSONField(default=list)),
                ('access', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='decisions', to='records.vascularaccess')),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.clinic')),
                ('reviewer', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-at', '-id'],
                'indexes': [models.Index(fields=['access', '-at'], name='decision_access')],
                'constraints': [models.CheckConstraint(condition=models.Q(('outcome__in', ('no change', 'check again', 'refer', 'already planned'))), name='decision_outcome'), models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'check again'), _negated=True), ('check_again_on__isnull', False), _connector='OR'), name='decision_check_again_has_date')],
            },
        ),
        migrations.CreateModel(
            name='Flag',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('rule', models.CharField(max_length=60)),
                ('protocol', models.CharField(max_length=60)),
                ('protocol_version', models.CharField(max_length=40)),
                ('basis', models.CharField(max_length=12)),
                ('urgency', models.CharField(max_length=8)),
                ('first_seen_at', models.DateTimeField()),
                ('last_seen_at', models.DateTimeField()),
                ('raised_at', models.DateTimeField()),
                ('finding', models.JSONField()),
                ('state', models.CharField(default='open', max_length=8)),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
                ('closed_why', models.CharField(blank=True, max_length=400)),
                ('access', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='flags', to='records.vascularaccess')),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.clinic')),
                ('closed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('patient', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.patient')),
            ],
            options={
                'ordering': ['-raised_at', '-id'],
                'indexes': [models.Index(fields=['clinic', 'state', 'urgency'], name='flag_worklist')],
                'constraints': [models.CheckConstraint(condition=models.Q(('urgency__in', ('routine', 'urgent', 'asap', 'stat'))), name='flag_urgency'), models.CheckConstraint(condition=models.Q(('state__in', ('open', 'kept', 'closed'))), name='flag_state'), models.CheckConstraint(condition=models.Q(models.Q(('state', 'closed'), _negated=True), models.Q(('closed_at__isnull', False), models.Q(('closed_why', ''), _negated=True)), _connector='OR'), name='flag_closed_says_why'), models.UniqueConstraint(condition=models.Q(('state__in', ['open', 'kept'])), fields=('access', 'rule'), name='flag_one_open')],
            },
        ),
    ]
