"""Rows put straight into the tables, for tests of what reads them: one clinic, its people, and what was seen there.

The writers have tests of their own; here a row is stored as it would stand after them. All people are invented.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

from uuid_utils.compat import uuid7

from access.accounts.models import Clinic, Membership, Station, User
from access.audit.trail import Acting
from access.records.models import (
    CarePeriod,
    DoseResult,
    Event,
    Examination,
    FlowMeasurement,
    LabValue,
    Needle,
    Patient,
    Prescription,
    Reading,
    RecirculationTest,
    Treatment,
    VascularAccess,
    Zone,
)

NOW = datetime(2026, 3, 18, 9, 0, tzinfo=UTC)  # A Wednesday.
SHIFTS = [{"name": "morning", "starts": "06:30", "ends": "11:30"}]
NORMAL = {"thrill": "continuous", "bruit": "low, two phases", "pulse": "soft", "swelling": "none", "skin": "sound"}


def ago(days: float, *, hour: int = 8) -> datetime:
    """A bedside time so many days before now, at this hour."""
    return (NOW - timedelta(days=days)).replace(hour=hour, minute=0)


EARLY = ago(1000)


@dataclass
class Bedside:
    """A clinic with one nurse and what is stored of its patients."""

    name: str = "North"
    clinic: Clinic = field(init=False)
    nurse: User = field(init=False)
    station: Station = field(init=False)

    def __post_init__(self) -> None:
        self.clinic = Clinic.objects.create(
            name=self.name, time_zone="Europe/Vienna", shifts=SHIFTS, is_demo=True, emergency_contacts=[]
        )
        self.nurse = self.person("nurse", username=f"nurse-{self.name.lower()}")
        self.station = Station.objects.create(clinic=self.clinic, name="1", venous_limit_mmhg=125)

    def person(self, role: str, *, username: str = "", since: datetime = EARLY) -> User:
        """A user of this clinic with a role."""
        user = User.objects.create_user(
            username or f"{role}-{self.name.lower()}", full_name=f"{role.title()} {self.name}"
        )
        Membership.objects.create(user=user, clinic=self.clinic, role=role, post=role, since=since)
        return user

    def acting(self, user: User | None = None, *, at: datetime = NOW) -> Acting:
        """Who acts, for this clinic."""
        return Acting(user=(user or self.nurse).pk, clinic=self.clinic.pk, at=at)

    def patient(self, name: str = "Edda Ilves", *, since: datetime = EARLY, **columns: Any) -> Patient:
        """A patient in this clinic's care."""
        row = {"birth_date": date(1951, 4, 12), "schedule_days": [0, 2, 4], "shift": "morning"} | columns
        found = Patient.objects.create(
            clinic=self.clinic, name=name, chart_number=f"N-{str(uuid7())[-8:]}", station=self.station, version=1, **row
        )
        CarePeriod.objects.create(patient=found, clinic=self.clinic, since=since)
        return found

    def access(self, patient: Patient, **columns: Any) -> VascularAccess:
        """A forearm loop graft, long in use, unless said otherwise."""
        row = {
            "kind": "graft",
            "configuration": "forearm loop graft",
            "side": "left",
            "created_on": date(2024, 5, 2),
            "first_needled_on": date(2024, 6, 10),
            "needled_from_cm": 3.0,
            "needled_to_cm": 24.0,
            "version": 1,
        } | columns
        return VascularAccess.objects.create(clinic=self.clinic, patient=patient, **row)

    def seen(self, at: datetime, **columns: Any) -> dict[str, Any]:
        """The columns that every observed row shares."""
        shared = {"measured_at": at, "received_at": at, "recorded_by": self.nurse, "sent_by": self.nurse, "version": 1}
        return {"clinic": self.clinic, **shared, **columns}

    def treatment(
        self,
        access: VascularAccess,
        *,
        at: datetime,
        findings: dict[str, str] | None = None,
        sites: tuple[float, float] | None = (8.0, 17.0),
        pressures: Sequence[dict[str, Any]] = (),
        bleeding: tuple[float, float] | None = None,
        needle: dict[str, Any] | None = None,
        **columns: Any,
    ) -> Treatment:
        """A treatment that ran, with its examination, two needles and pressures where given."""
        row = {"state": "ended", "clinic_day": at.date(), "shift": "morning", "station": self.station} | columns
        row = {"started_at": at, "pump_prescribed_ml_min": 350, "pump_reached_ml_min": 350} | row
        found = Treatment.objects.create(patient=access.patient, **self.seen(at, **row))
        if findings is not None:
            self.examination(access, at=at - timedelta(minutes=5), findings=findings, treatment=found)
        if sites is not None:
            self.needles(access, treatment=found, sites=sites, bleeding=bleeding, **(needle or {}))
        for minute in pressures:
            given = {"minute": 3.0, "measured_at": at + timedelta(minutes=3), "height_formula": "hydrostatic"} | minute
            Reading.objects.create(id=uuid7(), treatment=found, **given)
        return found

    def needles(
        self,
        access: VascularAccess,
        *,
        treatment: Treatment,
        sites: tuple[float, float],
        bleeding: tuple[float, float] | None = None,
        **columns: Any,
    ) -> None:
        """The arterial and the venous needle of a treatment."""
        for place, role in enumerate(("arterial", "venous")):
            row = {
                "along_cm": sites[place],
                "across_cm": 0.0,
                "gauge": 15,
                "direction": "with the flow",
                "technique": "rope-ladder",
                "in_at": treatment.started_at,
                "bleeding_minutes": bleeding[place] if bleeding else None,
            } | columns
            Needle.objects.create(id=uuid7(), treatment=treatment, access=access, role=role, **row)

    def examination(
        self, access: VascularAccess, *, at: datetime, findings: dict[str, str], **columns: Any
    ) -> Examination:
        """Look, listen and feel, with what is given beside the normal readings."""
        row = {"findings": NORMAL | findings, "examiner": "Ada Brandt"} | columns
        return Examination.objects.create(access=access, **self.seen(at, patient=access.patient, **row))

    def flow(self, access: VascularAccess, *, at: datetime, ml_min: float | None, **columns: Any) -> FlowMeasurement:
        """An access flow by ultrasound dilution."""
        row = {"method": "ultrasound dilution", "flow_ml_min": ml_min, "lines": "reversed"} | columns
        return FlowMeasurement.objects.create(access=access, **self.seen(at, patient=access.patient, **row))

    def recirculation(
        self, access: VascularAccess, *, at: datetime, result: dict[str, Any], **columns: Any
    ) -> RecirculationTest:
        """A three-sample test with its stored result."""
        row = {"unit": "mg/dL", "pump_ml_min": 350, "lines": "right", "result": result} | columns
        return RecirculationTest.objects.create(access=access, **self.seen(at, patient=access.patient, **row))

    def dose(self, patient: Patient, *, at: datetime, kt_v: float, **columns: Any) -> DoseResult:
        """A monthly dose."""
        row = {"urea_before": 60, "urea_after": 18, "unit": "mg/dL", "hours": 4, "ultrafiltration_l": 2.5}
        row |= {"weight_kg": 72, "kt_v": kt_v, "reduction_percent": 70} | columns
        return DoseResult.objects.create(**self.seen(at, patient=patient, **row))

    def hematocrit(self, patient: Patient, *, at: datetime, value: float, unit: str = "%") -> LabValue:
        """A hematocrit."""
        return LabValue.objects.create(what="hematocrit", value=value, unit=unit, **self.seen(at, patient=patient))

    def event(self, access: VascularAccess, *, on: date, what: str, **columns: Any) -> Event:
        """Something done to the access."""
        at = datetime(on.year, on.month, on.day, 12, tzinfo=UTC)
        return Event.objects.create(access=access, on=on, what=what, **self.seen(at, patient=access.patient, **columns))

    def zone(self, access: VascularAccess, *, from_cm: float, to_cm: float, **columns: Any) -> Zone:
        """A stretch to keep off because of a bulge."""
        row = {"why": "bulge", "action": "keep off", "since": ago(30).date(), "version": 1} | columns
        return Zone.objects.create(clinic=self.clinic, access=access, from_cm=from_cm, to_cm=to_cm, **row)

    def prescription(self, patient: Patient, **columns: Any) -> Prescription:
        """Today's orders."""
        row = {"since": ago(200).date(), "hours": 4, "pump_ml_min": 350, "dialysate_flow_ml_min": 500} | columns
        row = {"dialyzer": "H 19", "needle_gauge": 15, "version": 1} | row
        return Prescription.objects.create(clinic=self.clinic, patient=patient, **row)


def static(arterial: float | None, venous: float | None, *, height: float = 30) -> dict[str, Any]:
    """The columns of a static reading at a blood pressure of 140 over 80 (mean 100)."""
    return {
        "pump_ml_min": 0.0,
        "arterial_static_mmhg": arterial,
        "venous_static_mmhg": venous,
        "arterial_height_cm": height,
        "venous_height_cm": height,
        "systolic_mmhg": 140.0,
        "diastolic_mmhg": 80.0,
    }


def running(venous: float, *, arterial: float = -120, pump: float = 200) -> dict[str, Any]:
    """The columns of a reading with the pump running."""
    return {"pump_ml_min": pump, "venous_mmhg": venous, "pre_pump_arterial_mmhg": arterial}
