"""The protocol in force at a clinic: as shipped, with what the clinic set or confirmed. It judges nothing."""

from collections.abc import Iterable

from access.accounts.models import Clinic, ClinicLimit
from access.measures import protocol
from access.measures.protocol import LocalLimit, Protocol
from access.records.history.describe import local_day


def in_force(clinic: Clinic) -> Protocol:
    """The clinic's protocol with its own limits; of several entries for a limit the newest counts."""
    rows = ClinicLimit.objects.filter(clinic=clinic, protocol=clinic.protocol).select_related("by")
    return protocol.in_force(protocol.load(clinic.protocol), _newest(rows.order_by("at", "id"), clinic=clinic))


def _newest(rows: Iterable[ClinicLimit], *, clinic: Clinic) -> dict[str, LocalLimit]:
    return {
        row.limit: LocalLimit(
            value=row.value,
            who=row.by.full_name,
            on=local_day(row.at, clinic=clinic),
            why=row.why,
            confirmed=row.confirmed,
        )
        for row in rows
    }
