"""One treatment with all that is needed to go on with it: the document, today's orders, the packs of its accesses.

It is what a tablet takes along and what the treatment page opens with; flags are joined one layer up.
"""

from datetime import datetime
from typing import Any

from django.db.models import Q

from access.accounts.models import Clinic
from access.records.history.describe import patient_card
from access.records.history.limits import in_force
from access.records.history.pack import Moment, packs
from access.records.history.sight import Sight
from access.records.models import Prescription, Treatment, TreatmentVersion, VascularAccess


def treatment_pack(treatment: Treatment, *, clinic: Clinic, as_of: datetime, sight: Sight) -> dict[str, Any]:
    """The treatment as this clinic sees it; plans and bands stand as they were before its first needle."""
    stored = _stored(treatment, sight=sight)
    begun = treatment.started_at or (treatment.measured_at if treatment.version else None)
    moment = Moment(
        clinic=clinic,
        day=treatment.clinic_day,
        at=min(begun or as_of, sight.clock(as_of)),
        treatment=treatment.pk,
    )
    accesses = VascularAccess.objects.filter(
        Q(needles__treatment=treatment) | ~Q(status="abandoned"), patient=treatment.patient_id, made_in_error=False
    )
    return {
        "id": str(treatment.pk),
        "version": stored.number if stored else 0,
        "state": treatment.state,
        "document": stored.document if stored else None,
        "patient": patient_card(treatment.patient),
        "orders": orders(treatment, sight=sight),
        "accesses": packs(
            accesses.distinct().select_related("patient").order_by("created_on", "id"),
            moment=moment,
            protocol=in_force(clinic),
            sight=sight,
        ),
        "asks": [{"field": name, "text": text} for name, text in stored.answer.get("asks", ())] if stored else [],
        "possibly_same": _possibly_same(treatment),
    }


def _stored(treatment: Treatment, *, sight: Sight) -> TreatmentVersion | None:
    """The newest version that this clinic knows of."""
    rows = TreatmentVersion.objects.filter(treatment=treatment)
    if sight.until is not None:
        rows = rows.filter(Q(received_at__lte=sight.until) | Q(clinic=sight.clinic))
    return rows.order_by("-number").first()


def orders(treatment: Treatment, *, sight: Sight) -> dict[str, Any] | None:
    """What the prescriber ordered for the day of this treatment, or None where nothing is recorded."""
    rows = Prescription.objects.filter(
        sight.dated(), patient=treatment.patient_id, made_in_error=False, since__lte=treatment.clinic_day
    )
    found = rows.order_by("-since", "-id").first()
    if found is None:
        return None
    return {
        "dialyzer": found.dialyzer,
        "needle_gauge": found.needle_gauge,
        "pump_ml_min": found.pump_ml_min,
        "hours": found.hours,
        "heparin": found.heparin,
        "dialysate_flow_ml_min": found.dialysate_flow_ml_min,
        "since": found.since.isoformat(),
    }


def _possibly_same(treatment: Treatment) -> str | None:
    """The other treatment of the day that this may be, while nobody has said."""
    waiting = treatment.possibly_same_as_id is not None and treatment.pairing == ""
    return str(treatment.possibly_same_as_id) if waiting else None
