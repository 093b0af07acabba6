"""One of several processes that write at once, for ``test_race``: makes the store, writes into it, counts.

Run as ``python -m tests.records.entry.race WHAT STORE NUMBER``; STORE is Django's settings of the database as JSON.
"""

import json
import os
import sys
from datetime import timedelta
from importlib import import_module
from typing import Any

import django
from django.conf import settings
from django.core.management import call_command

STEPS = 25


def prepare(cast: Any, entry: Any) -> None:
    """Make the tables and the cast, with a treatment to write into."""
    call_command("migrate", verbosity=0)
    people = cast.a_cast()
    entry.plan_shift(people.north, clinic_day=cast.DAY, shift="morning", acting=people.acting(people.ada))


def race(cast: Any, entry: Any, *, number: int) -> None:
    """Add readings to the planned treatment, each from what was last answered, and open later shifts in between."""
    models = import_module("access.records.models")
    treatment = models.Treatment.objects.get(patient__name="Gwen", clinic_day=cast.DAY)
    document, version = treatment.versions.get(number=0).document, 0
    acting = import_module("access.audit.trail").Acting(
        user=treatment.recorded_by_id, clinic=treatment.clinic_id, at=cast.NOW
    )
    for place in range(STEPS):
        reading = cast.a_reading(minute=100 * number + place)
        document = {**document, "pressures": [*document["pressures"], reading]}
        saved = entry.save_treatment(treatment.pk, body=cast.a_save(document, base=version), acting=acting)
        document, version = saved.document, saved.version
        day = cast.DAY + timedelta(days=7 * (place + 1))
        entry.plan_shift(treatment.clinic, clinic_day=day, shift="morning", acting=acting)


def count() -> None:
    """Print what is in the store."""
    models = import_module("access.records.models")
    treatment = models.Treatment.objects.get(patient__name="Gwen", clinic_day="2026-03-04")
    numbers = list(treatment.versions.order_by("number").values_list("number", flat=True))
    minutes = sorted(one["minute"] for one in treatment.versions.get(number=treatment.version).document["pressures"])
    planned = models.Treatment.objects.filter(clinic_day__gt="2026-03-04").count()
    rows = models.Reading.objects.filter(treatment=treatment).count()
    sys.stdout.write(json.dumps({"numbers": numbers, "minutes": minutes, "rows": rows, "planned": planned}))


def main(what: str, store: str, number: str) -> None:
    """Do one of the above on this store."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    settings.DATABASES["default"] |= json.loads(store)
    django.setup()
    # Only once Django knows its store may what has tables be imported.
    cast, entry = import_module("tests.cast"), import_module("access.records.entry")
    if what == "prepare":
        prepare(cast, entry)
    elif what == "race":
        race(cast, entry, number=int(number))
    else:
        count()


if __name__ == "__main__":
    main(*sys.argv[1:])
