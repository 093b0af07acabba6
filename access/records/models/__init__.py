"""What was observed: the tables, in files by subject. Only ``records.entry`` writes them."""

from access.records.models.base import RecordVersion
from access.records.models.measured import BenchTable, DoseResult, FlowMeasurement, LabValue, RecirculationTest
from access.records.models.people import CareMove, CarePeriod, Patient, Prescription
from access.records.models.treatment import Examination, Needle, Reading, Treatment, TreatmentVersion
from access.records.models.vessel import Event, Hold, VascularAccess, Zone

__all__ = [
    "BenchTable",
    "CareMove",
    "CarePeriod",
    "DoseResult",
    "Event",
    "Examination",
    "FlowMeasurement",
    "Hold",
    "LabValue",
    "Needle",
    "Patient",
    "Prescription",
    "Reading",
    "RecirculationTest",
    "RecordVersion",
    "Treatment",
    "TreatmentVersion",
    "VascularAccess",
    "Zone",
]
