# Made by makemigrations from the models.

import django.db.models.deletion
import uuid_utils.compat
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='User',
            fields=[
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('username', models.CharField(max_length=60, unique=True)),
                ('full_name', models.CharField(max_length=120)),
                ('is_active', models.BooleanField(default=True)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Clinic',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=120, unique=True)),
                ('time_zone', models.CharField(default='UTC', max_length=60)),
                ('clock_style', models.CharField(default='24 h', max_length=4)),
                ('protocol', models.CharField(default='kdoqi-2019-supplement', max_length=60)),
                ('urea_unit', models.CharField(default='mg/dL', max_length=6)),
                ('height_formula', models.CharField(default='hydrostatic', max_length=20)),
                ('emergency_contacts', models.JSONField(default=list)),
                ('shifts', models.JSONField(default=list)),
                ('examining_posts', models.JSONField(default=list)),
                ('is_demo', models.BooleanField(default=False)),
            ],
            options={
                'ordering': ['name'],
                'constraints': [models.CheckConstraint(condition=models.Q(('clock_style__in', ['24 h', '12 h'])), name='clinic_clock_style'), models.CheckConstraint(condition=models.Q(('urea_unit__in', ['mg/dL', 'mmol/L'])), name='clinic_urea_unit')],
            },
        ),
        migrations.CreateModel(
            name='ClinicLimit',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('protocol', models.CharField(max_length=60)),
                ('limit', models.CharField(max_length=80)),
                ('value', models.FloatField()),
                ('confirmed', models.BooleanField(default=True)),
                ('at', models.DateTimeField()),
                ('why', models.CharField(max_length=400)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='limits', to='accounts.clinic')),
            ],
            options={
                'ordering': ['clinic', 'limit', 'at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Device',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=60)),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='devices', to='accounts.clinic')),
            ],
            options={
                'ordering': ['clinic', 'name', 'id'],
            },
        ),
        migrations.CreateModel(
            name='DeviceSignIn',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('at', models.DateTimeField()),
                ('device', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='sign_ins', to='accounts.device')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['device', 'at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Membership',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('role', models.CharField(max_length=20)),
                ('post', models.CharField(max_length=60)),
                ('since', models.DateTimeField()),
                ('until', models.DateTimeField(blank=True, null=True)),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to='accounts.clinic')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['clinic', 'user', 'since', 'id'],
            },
        ),
        migrations.CreateModel(
            name='StaffMember',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=120)),
                ('post', models.CharField(max_length=60)),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='staff', to='accounts.clinic')),
                ('user', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['clinic', 'name', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Station',
            fields=[
                ('id', models.UUIDField(default=uuid_utils.compat.uuid7, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=40)),
                ('machine_type', models.CharField(blank=True, max_length=60)),
                ('venous_limit_mmhg', models.FloatField(blank=True, null=True)),
                ('arterial_chamber_height_cm', models.FloatField(blank=True, null=True)),
                ('venous_chamber_height_cm', models.FloatField(blank=True, null=True)),
                ('heights_measured_on', models.DateField(blank=True, null=True)),
                ('isolation_only', models.BooleanField(default=False)),
                ('clinic', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='stations', to='accounts.clinic')),
            ],
            options={
                'ordering': ['clinic', 'name', 'id'],
            },
        ),
        migrations.AddConstraint(
            model_name='device',
            constraint=models.UniqueConstraint(fields=('clinic', 'name'), name='device_name'),
        ),
        migrations.AddIndex(
            model_name='devicesignin',
            index=models.Index(fields=['device', 'user', 'at'], name='device_sign_in'),
        ),
        migrations.AddConstraint(
            model_name='membership',
            constraint=models.CheckConstraint(condition=models.Q(('role__in', ('nurse', 'coordinator', 'nephrologist', 'administrator'))), name='membership_role'),
        ),
        migrations.AddConstraint(
            model_name='membership',
            constraint=models.CheckConstraint(condition=models.Q(('until__isnull', True), ('until__gt', models.F('since')), _connector='OR'), name='membership_since_until'),
        ),
        migrations.AddConstraint(
            model_name='membership',
            constraint=models.UniqueConstraint(condition=models.Q(('until__isnull', True)), fields=('user', 'clinic', 'role'), name='membership_one_open'),
        ),
        migrations.AddConstraint(
            model_name='station',
            constraint=models.UniqueConstraint(fields=('clinic', 'name'), name='station_name'),
        ),
    ]
