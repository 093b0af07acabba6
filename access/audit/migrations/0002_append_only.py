"""The trail can be added to and never changed."""

from django.db import migrations

from access.audit.append_only import append_only


class Migration(migrations.Migration):
    dependencies = [("audit", "0001_initial")]
    operations = [append_only("audit_auditentry")]
