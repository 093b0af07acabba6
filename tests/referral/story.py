"""One graft with a slowly growing outlet narrowing, told through rows: what journeys of a referral begin with."""

from datetime import date
from typing import Any

from access.records.models import Patient, VascularAccess
from tests.records.bedside import Bedside, ago, running, static

MEDICINES = {
    "procedure_allergies": "contrast medium: rash in 2019",
    "procedure_medicines": "apixaban 2.5 mg twice a day; metformin",
    "needle_allergies": "chlorhexidine",
    "arm_notes": "no blood pressure on the left arm",
}
SITES = [(5.0 + step, 14.0 + step) for step in (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0)]


def patient_of(north: Bedside, name: str = "Edda Ilves", **columns: Any) -> Patient:
    """A patient whose allergies and medicines matter to a procedure."""
    return north.patient(name, **(MEDICINES | columns))


def failing_graft(north: Bedside, *, patient: Patient | None = None, treatments: int = 40) -> VascularAccess:
    """A graft whose flow falls and whose ratio rises over months, with a pulsatile pulse at the last two treatments."""
    patient = patient or patient_of(north)
    graft = north.access(patient, needled_to_cm=26.0)
    north.prescription(patient)
    north.event(graft, on=date(2024, 5, 2), what="created", where_words="brachial artery to basilic vein")
    north.event(
        graft,
        on=date(2025, 6, 12),
        what="angioplasty",
        where_cm=36.0,
        where_words="venous anastomosis",
        degree_percent=70,
        outcome="residual narrowing below 20 %",
    )
    for number in range(treatments):
        days = 2.0 + 7 / 3 * (treatments - 1 - number)
        # The ratio begins at .40 and ends at .60 of a mean pressure of 100 mmHg.
        venous = 17 + 20 * number / treatments
        minutes = [running(118 + 30 * number / treatments)]
        if number % 6 == 0 or number >= treatments - 2:
            minutes.append(static(venous + 16, venous))
        odd = {"pulse": "pulsatile", "arm_raise": "does not collapse"} if number >= treatments - 2 else {}
        north.treatment(
            graft, at=ago(days), findings=odd, sites=SITES[number % len(SITES)], pressures=minutes,
            bleeding=(8.0, 9.0), heparin="heparin 3000 IU",
        )  # fmt: skip
    for number, flow in enumerate((1180, 1120, 1150, 980, 900, 760, 640, 540)):
        wide = {"low_ml_min": flow * 0.79, "high_ml_min": flow * 1.26}
        north.flow(graft, at=ago(215 - 30 * number), ml_min=flow, systolic_mmhg=140, diastolic_mmhg=80, **wide)
    valid = {"valid": True, "percent": 4.0, "low_percent": -1.0, "high_percent": 9.0, "probability_above_limit": 0.03}
    north.recirculation(graft, at=ago(20), result=valid)
    north.dose(patient, at=ago(18), kt_v=1.38)
    north.zone(graft, from_cm=12.5, to_cm=14.0, why="bulge")
    return graft
