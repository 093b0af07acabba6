# Made by makemigrations from the models.

import uuid_utils.compat
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='AuditEntry',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('at', models.DateTimeField()),
                ('action', models.CharField(max_length=60)),
                ('actor', models.UUIDField(null=True)),
                ('clinic', models.UUIDField(null=True)),
                ('device', models.UUIDField(null=True)),
                ('address', models.CharField(blank=True, max_length=45)),
                ('request', models.CharField(blank=True, max_length=36)),
                ('subjects', models.JSONField(default=list)),
                ('patients', models.JSONField(default=list)),
                ('detail', models.JSONField(default=dict)),
            ],
            options={
                'ordering': ['-at', '-id'],
                'indexes': [models.Index(fields=['clinic', '-at'], name='audit_clinic_at')],
            },
        ),
    ]
