"""What the records layer hands down to the computation: frozen, typed, with units in the names.

Nothing here computes; missing is ``None`` and never zero. Times are aware datetimes.
"""

from dataclasses import dataclass, field
from datetime import date, datetime

from access.measures.words import (
    Configuration,
    Direction,
    EventWhat,
    FlowMethod,
    Kind,
    Lines,
    NeedleRole,
    Outcome,
    RatioFormula,
    Route,
    Side,
    SystemicSite,
    Technique,
    Tip,
    UreaUnit,
    ZoneAction,
    ZoneWhy,
)


@dataclass(frozen=True, kw_only=True)
class Sample:
    """One urea concentration with its unit."""

    value: float
    unit: UreaUnit


@dataclass(frozen=True, kw_only=True)
class Draw:
    """The three urea samples of a recirculation test and how they were drawn."""

    systemic: Sample | None
    arterial: Sample | None
    venous: Sample | None
    systemic_site: SystemicSite | None
    pump_ml_min: float | None
    slow_flow_ml_min: float | None = None
    slow_flow_seconds: float | None = None
    minutes_into_treatment: float | None = None
    arterial_venous_drawn_at: datetime | None = None
    systemic_drawn_at: datetime | None = None
    ultrafiltration_off: bool | None = None
    lines: Lines = "not known"
    assay_cv: float = 0.02


@dataclass(frozen=True, kw_only=True)
class FlowReading:
    """An access flow with its 90 % interval; both ends ``None`` where the doubt is not known."""

    id: str
    at: datetime
    method: FlowMethod
    ml_min: float
    low_ml_min: float | None = None
    high_ml_min: float | None = None
    mean_arterial_mmhg: float | None = None
    comparable: bool = True  # False for blood-water flow without a hematocrit.


@dataclass(frozen=True, kw_only=True)
class RatioReading:
    """A static pressure ratio of one needle site, by one height formula."""

    id: str
    at: datetime
    role: NeedleRole
    ratio: float
    formula: RatioFormula


@dataclass(frozen=True, kw_only=True)
class DynamicReading:
    """Line pressures with the pump running, as read together at one minute of a treatment."""

    id: str
    treatment: str
    at: datetime
    minute: float
    pump_ml_min: float
    venous_mmhg: float | None
    pre_pump_arterial_mmhg: float | None
    gauge: int | None
    mean_arterial_mmhg: float | None = None
    hematocrit_fraction: float | None = None
    venous_limit_mmhg: float | None = None  # The station's own limit for the standardized reading.
    venous_height_cm: float | None = None  # Of the chamber above the access, with the formula that belongs to it.
    height_formula: RatioFormula | None = None


@dataclass(frozen=True, kw_only=True)
class ExaminationReading:
    """What look, listen and feel found; a field that was not examined is absent from ``findings``."""

    id: str
    at: datetime
    treatment: str | None
    findings: dict[str, str]
    examiner: str
    second_examiner: str = ""
    second_findings: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Puncture:
    """One needle through the skin, whatever came of it."""

    id: str
    treatment: str
    at: datetime
    role: NeedleRole
    along_cm: float | None
    gauge: int | None
    direction: Direction | None
    technique: Technique | None
    tip: Tip | None
    outcome: Outcome
    bleeding_minutes: float | None = None
    heparin: str = ""
    segment: str = ""


@dataclass(frozen=True, kw_only=True)
class RecirculationReading:
    """A computed recirculation that was valid as a method."""

    id: str
    at: datetime
    percent: float
    low_percent: float | None
    high_percent: float | None
    probability_above_limit: float | None
    lines: Lines
    pump_ml_min: float
    urea_based: bool = True


@dataclass(frozen=True, kw_only=True)
class DoseReading:
    """A monthly dose with the prescription it was reached on."""

    id: str
    at: datetime
    kt_v: float
    prescription: str  # One text for hours, pump speed, dialysate flow and dialyzer together.


@dataclass(frozen=True, kw_only=True)
class EventReading:
    """Something done to, or happening to, the access."""

    id: str
    on: date
    what: EventWhat
    where_cm: float | None = None


@dataclass(frozen=True, kw_only=True)
class ZoneReading:
    """A stretch of the vessel to keep off or to take care in."""

    from_cm: float
    to_cm: float
    why: ZoneWhy
    action: ZoneAction
    since: date
    until: date | None = None


@dataclass(frozen=True, kw_only=True)
class TreatmentReading:
    """One dialysis run as the rules see it: only its order, route and what was prescribed."""

    id: str
    at: datetime
    route: Route
    pump_prescribed_ml_min: float | None = None
    pump_reached_ml_min: float | None = None


@dataclass(frozen=True, kw_only=True)
class BenchPoint:
    """One reading of the bench: pressure in mmHg (below zero on the arterial side) at a pump speed in mL/min."""

    gauge: int
    pump_ml_min: float
    pressure_mmhg: float
    needle_and_line: str = ""


@dataclass(frozen=True, kw_only=True)
class AccessProfile:
    """All that is known of one access, each series in order of bedside time, and the clinic's bench table."""

    access: str
    kind: Kind
    configuration: Configuration
    side: Side
    created_on: date | None = None
    first_needled_on: date | None = None
    needled_from_cm: float = 0.0
    needled_to_cm: float | None = None
    depth_cm: float | None = None
    diameter_cm: float | None = None
    treatments: tuple[TreatmentReading, ...] = ()
    examinations: tuple[ExaminationReading, ...] = ()
    punctures: tuple[Puncture, ...] = ()
    flows: tuple[FlowReading, ...] = ()
    ratios: tuple[RatioReading, ...] = ()
    dynamics: tuple[DynamicReading, ...] = ()
    recirculations: tuple[RecirculationReading, ...] = ()
    doses: tuple[DoseReading, ...] = ()
    events: tuple[EventReading, ...] = ()
    zones: tuple[ZoneReading, ...] = ()
    bench: tuple[BenchPoint, ...] = ()
