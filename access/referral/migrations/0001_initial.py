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
            name='Referral',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('urgency', models.CharField(max_length=8)),
                ('question', models.CharField(max_length=400)),
                ('state', models.CharField(default='draft', max_length=14)),
                ('version', models.PositiveIntegerField(default=0)),
                ('flags', models.JSONField(default=list)),
                ('summary', models.JSONField(default=dict)),
                ('created_at', models.DateTimeField()),
                ('sent_at', models.DateTimeField(blank=True, null=True)),
                ('acknowledged_at', models.DateTimeField(blank=True, null=True)),
                ('decided_at', models.DateTimeField(blank=True, null=True)),
                ('decision', models.CharField(blank=True, max_length=600)),
                ('done_at', models.DateTimeField(blank=True, null=True)),
                ('outcome', models.CharField(blank=True, max_length=600)),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('withdrawn_why', models.CharField(blank=True, max_length=400)),
                ('events', models.JSONField(default=list)),
                ('access', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='referrals', to='records.vascularaccess')),
                ('acknowledged_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='accounts.clinic')),
                ('created_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('decided_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('patient', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='records.patient')),
                ('sent_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('to', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-created_at', '-id'],
                'indexes': [models.Index(fields=['clinic', 'state', '-created_at'], name='referral_list')],
                'constraints': [models.CheckConstraint(condition=models.Q(('state__in', ('draft', 'sent', 'acknowledged', 'decided', 'done', 'withdrawn'))), name='referral_state'), models.CheckConstraint(condition=models.Q(('urgency__in', ('routine', 'urgent', 'asap', 'stat'))), name='referral_urgency'), models.CheckConstraint(condition=models.Q(('state__in', ['draft', 'withdrawn']), ('sent_at__isnull', False), _connector='OR'), name='referral_sent_is_frozen'), models.UniqueConstraint(condition=models.Q(('state__in', ['draft', 'sent', 'acknowledged', 'decided'])), fields=('access',), name='referral_one_open')],
            },
        ),
    ]
