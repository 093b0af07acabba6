"""Makes the whole demo as it stands now in the SQLite file that the settings name; run as a process of its own.

It prints how long each part took, and in the end the moment that the demo shows.
"""

from importlib import import_module

import django
from django.core.management import call_command
from django.db import connection
from django.utils import timezone


def main() -> None:
    """Tables, clinics, and everything in the one file."""
    django.setup()
    now = timezone.now()
    call_command("migrate", verbosity=0)
    # Only here, since the models need Django to be set up.
    import_module("access.practice.clinic").fill(as_of=now, progress=print)
    with connection.cursor() as cursor:
        # So that a copy of the one file is a copy of everything.
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    print(now.isoformat())


if __name__ == "__main__":
    main()
