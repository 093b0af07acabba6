"""The table of the small records: the fields of each kind, what must hold between them, and what follows from them.

How one is stored stands in ``record``; the Treatment is no small record and has its own path.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import get_args

from access.measures import words
from access.records.entry import checks, results
from access.records.entry.checks import Beside
from access.records.entry.document import EXAMINATION
from access.records.entry.fields import Notes, Table, day, key, moment, number, table, text, weekdays, word, yes_no
from access.records.entry.results import Computed
from access.records.history.limits import in_force
from access.records.models import (
    DoseResult,
    Event,
    Examination,
    FlowMeasurement,
    Hold,
    LabValue,
    Patient,
    Prescription,
    RecirculationTest,
    VascularAccess,
    Zone,
)
from access.records.models.base import Versioned
from access.records.problems import Document

Check = Callable[[Document, Beside, Notes], None]
Compute = Callable[[Document, Beside], Computed]


def _no_result(document: Document, beside: Beside) -> Computed:
    return Computed()


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of small record; ``when`` names the field with the bedside time or, for orders and zones, the day."""

    subject: str
    model: type[Versioned]
    fields: Table
    when: str  # Empty: it holds from when it is entered.
    check: Check = checks.nothing
    compute: Compute = _no_result
    # Where a refusal of the computation is said, by the name that the computation has for it.
    said_at: dict[str, str] | None = None


_OBSERVED: Table = {"patient": key(needed=True), "treatment": key(), "measured_at": moment(needed=True)}
_LINES = word(get_args(words.Lines), otherwise="not known")
_UREA = word(get_args(words.UreaUnit))
_FLOW_INPUTS: Table = {
    "ml_min": number("flow_ml_min"),
    "pump_ml_min": number("pump_ml_min"),
    "recirculation_fraction": number(None),
    "ultrafiltration_ml_min": number("ultrafiltration_ml_min"),
    "cardiopulmonary_fraction": number("cardiopulmonary_fraction"),
    "normal_ml_min": number("dialysance_ml_min"),
    "reversed_ml_min": number("dialysance_ml_min"),
    "hematocrit_fraction": number("hematocrit_fraction"),
    "diameter_cm": number("diameter_cm"),
    "velocity_cm_s": number("velocity_cm_s"),
    "systemic": number(None),
    "arterial": number(None),
    "venous": number(None),
    "unit": word(get_args(words.UreaUnit), blank=True),
    "systemic_lines": word(get_args(words.Lines), blank=True),
    "systemic_drawn_at": moment(),
    "reversed_at": moment(),
    "arterial_venous_drawn_at": moment(),
}


def _compute_recirculation(document: Document, beside: Beside) -> Computed:
    kind = beside.vessel.kind if beside.vessel else ""
    return results.of_recirculation(document, protocol=in_force(beside.clinic), kind=kind, route=beside.route)


_PERSON: Table = {
    "chart_number": text(40, needed=True),
    "name": text(120, needed=True),
    "birth_date": day(needed=True),
    "sex": text(10),
    "schedule_days": weekdays(),
    "shift": text(20),
    "station": key(),
    "isolation": text(80),
    "arm_notes": text(200),
    "needle_allergies": text(200),
    "procedure_allergies": text(200),
    "procedure_medicines": text(400),
}
_VESSEL: Table = {
    "patient": key(needed=True),
    "kind": word(get_args(words.Kind)),
    "configuration": word(get_args(words.Configuration)),
    "side": word(get_args(words.Side)),
    "status": word(get_args(words.AccessStatus), otherwise="in use"),
    "created_on": day(),
    "weeks_to_first_use": number("weeks_to_first_use", whole=True),
    "first_needled_on": day(),
    "needled_from_cm": number("along_cm", needed=True),
    "needled_to_cm": number("along_cm", needed=True),
    "depth_cm": number("depth_cm"),
    "diameter_cm": number("diameter_cm"),
    "note": text(400),
}

KINDS: dict[str, Kind] = {
    kind.subject: kind
    for kind in (
        Kind(subject="patient", model=Patient, when="", fields=_PERSON, check=checks.person),
        Kind(subject="access", model=VascularAccess, when="", fields=_VESSEL, check=checks.vessel),
        Kind(
            subject="examination",
            model=Examination,
            when="measured_at",
            # Its id is that of the record; where it stands in the document as well, it must be the same.
            fields={**EXAMINATION, "id": key(), "patient": key(needed=True), "where_seen": text(40)},
            check=checks.examination,
        ),
        Kind(
            subject="flow",
            model=FlowMeasurement,
            when="measured_at",
            fields={
                **_OBSERVED,
                "access": key(needed=True),
                "method": word(get_args(words.FlowMethod)),
                "inputs": table(_FLOW_INPUTS),
                "lines": _LINES,
                "lines_put_back_by": text(120),
                "lines_put_back_at": moment(),
                "arterial_direction": word(get_args(words.Direction), blank=True),
                "systolic_mmhg": number("systolic_mmhg"),
                "diastolic_mmhg": number("diastolic_mmhg"),
                "operator": text(120),
            },
            check=checks.flow,
            compute=lambda document, beside: results.of_flow(document),
            said_at={**{name: f"inputs.{name}" for name in _FLOW_INPUTS}, "recirculation": "inputs.arterial"},
        ),
        Kind(
            subject="recirculation",
            model=RecirculationTest,
            when="measured_at",
            fields={
                **_OBSERVED,
                "access": key(needed=True),
                **{name: number(None) for name in results.SAMPLES},
                "unit": _UREA,
                "systemic_site": word(get_args(words.SystemicSite), blank=True),
                "pump_ml_min": number("pump_ml_min"),
                "slow_flow_ml_min": number("slow_flow_ml_min"),
                "slow_flow_seconds": number("slow_flow_seconds"),
                "minutes_into_treatment": number("minutes_into_treatment"),
                "arterial_venous_drawn_at": moment(),
                "systemic_drawn_at": moment(),
                "ultrafiltration_off": yes_no(otherwise=None),
                "lines": _LINES,
            },
            check=checks.recirculation,
            compute=_compute_recirculation,
        ),
        Kind(
            subject="dose",
            model=DoseResult,
            when="measured_at",
            fields={
                **_OBSERVED,
                "urea_before": number(None, needed=True),
                "urea_after": number(None, needed=True),
                "unit": _UREA,
                "hours": number("hours", needed=True),
                "ultrafiltration_l": number("ultrafiltration_l", needed=True),
                "weight_kg": number("weight_kg", needed=True),
                "pump_ml_min": number("pump_ml_min"),
                "dialysate_flow_ml_min": number("dialysate_flow_ml_min"),
                "dialyzer": text(80),
            },
            check=checks.dose,
            compute=lambda document, beside: results.of_dose(document),
            said_at={"before": "urea_before", "after": "urea_after", "kt_v": "urea_after"},
        ),
        Kind(
            subject="lab",
            model=LabValue,
            when="measured_at",
            fields={
                **_OBSERVED,
                "what": word(tuple(checks.LAB_UNITS)),
                "value": number(None, needed=True),
                "unit": text(12, needed=True),
            },
            check=checks.lab,
        ),
        Kind(
            subject="event",
            model=Event,
            when="on",
            fields={
                **_OBSERVED,
                "measured_at": moment(),
                "access": key(needed=True),
                "on": day(needed=True),
                "what": word(get_args(words.EventWhat)),
                "where_cm": number("along_cm"),
                "where_words": text(80),
                "degree_percent": number("degree_percent"),
                "outcome": text(400),
            },
            check=checks.event,
        ),
        Kind(
            subject="zone",
            model=Zone,
            when="since",
            fields={
                "access": key(needed=True),
                "from_cm": number("along_cm", needed=True),
                "to_cm": number("along_cm", needed=True),
                "why": word(get_args(words.ZoneWhy)),
                "action": word(get_args(words.ZoneAction)),
                "since": day(needed=True),
                "until": day(),
                "note": text(200),
            },
            check=checks.zone,
        ),
        Kind(
            subject="hold",
            model=Hold,
            when="since",
            fields={
                "access": key(needed=True),
                "since": day(needed=True),
                "until": day(),
                "why": text(200, needed=True),
            },
            check=checks.hold,
        ),
        Kind(
            subject="prescription",
            model=Prescription,
            when="since",
            fields={
                "patient": key(needed=True),
                "since": day(needed=True),
                "hours": number("hours", needed=True),
                "pump_ml_min": number("pump_prescribed_ml_min", needed=True),
                "dialysate_flow_ml_min": number("dialysate_flow_ml_min", needed=True),
                "dialyzer": text(80, needed=True),
                "heparin": text(120),
                "needle_gauge": number("gauge", needed=True, whole=True),
            },
        ),
    )
}
