"""Invented histories of one access for the tests of the rules: short makers, days counted from one start."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from access.measures.findings import Finding
from access.measures.protocol import DEFAULT, Limit, LocalLimit, Protocol, in_force, load
from access.measures.readings import (
    AccessProfile,
    DoseReading,
    DynamicReading,
    EventReading,
    ExaminationReading,
    FlowReading,
    Puncture,
    RatioReading,
    RecirculationReading,
    TreatmentReading,
)
from access.measures.rules import evaluate
from access.measures.words import Configuration, Kind, NeedleRole

START = datetime(2025, 1, 6, 8, 0, tzinfo=UTC)
NOW = 200.0  # The day of asking, unless a test says another.
NORMAL = {"thrill": "continuous", "bruit": "low, two phases", "pulse": "soft", "augmentation": "strong"}


def at(day: float) -> datetime:
    """The moment so many days after the start."""
    return START + timedelta(days=day)


def on(day: float) -> date:
    """The day so many days after the start."""
    return at(day).date()


def an_access(kind: Kind = "graft") -> AccessProfile:
    """A healthy access of which nothing has been recorded yet."""
    configuration: Configuration = "forearm loop graft" if kind == "graft" else "radiocephalic"
    return AccessProfile(
        access="a", kind=kind, configuration=configuration, side="left", first_needled_on=on(-700), needled_to_cm=14.0
    )


def a_flow(day: float, ml_min: float, *, comparable: bool = True) -> FlowReading:
    return FlowReading(id=f"flow {day}", at=at(day), method="ultrasound dilution", ml_min=ml_min, comparable=comparable)


def flows(*rows: tuple[float, float], kind: Kind = "graft") -> AccessProfile:
    """An access with flows given as (day, mL/min)."""
    return replace(an_access(kind), flows=tuple(a_flow(day, ml_min) for day, ml_min in rows))


def a_ratio(day: float, ratio: float, *, role: NeedleRole = "venous") -> RatioReading:
    return RatioReading(id=f"{role} ratio {day}", at=at(day), role=role, ratio=ratio, formula="hydrostatic")


def ratios(*rows: tuple[float, float], kind: Kind = "graft") -> AccessProfile:
    """An access with static ratios of the venous needle given as (day, ratio)."""
    return replace(an_access(kind), ratios=tuple(a_ratio(day, ratio) for day, ratio in rows))


def a_dynamic(
    day: float,
    *,
    venous: float | None = None,
    pre_pump: float | None = None,
    pump: float = 200,
    minute: float = 3,
    gauge: int | None = 15,
    limit: float | None = None,
) -> DynamicReading:
    return DynamicReading(
        id=f"reading {day} {minute} {pump}",
        treatment=f"treatment {day}",
        at=at(day) + timedelta(minutes=minute),
        minute=minute,
        pump_ml_min=pump,
        venous_mmhg=venous,
        pre_pump_arterial_mmhg=pre_pump,
        gauge=gauge,
        venous_limit_mmhg=limit,
    )


def dynamics(*readings: DynamicReading, kind: Kind = "graft") -> AccessProfile:
    """An access with pressures read while the pump runs."""
    return replace(an_access(kind), dynamics=readings)


def an_examination(day: float, examiner: str = "Ada", **findings: str) -> ExaminationReading:
    return ExaminationReading(
        id=f"examination {day} {examiner}",
        at=at(day),
        treatment=f"treatment {day}",
        findings=findings,
        examiner=examiner,
    )


def a_visit(day: float, **findings: str) -> ExaminationReading:
    """An examination without a treatment."""
    return replace(an_examination(day, **findings), treatment=None)


def examined(*examinations: ExaminationReading, kind: Kind = "graft") -> AccessProfile:
    """An access with examinations."""
    return replace(an_access(kind), examinations=examinations)


def a_recirculation(day: float, percent: float, *, urea: bool = True) -> RecirculationReading:
    return RecirculationReading(
        id=f"recirculation {day}",
        at=at(day),
        percent=percent,
        low_percent=percent - 5,
        high_percent=percent + 5,
        probability_above_limit=0.5,
        lines="right",
        pump_ml_min=300,
        urea_based=urea,
    )


def doses(*rows: tuple[float, float], prescription: str = "4 h, 300, 500, A") -> AccessProfile:
    """An access with doses given as (day, Kt/V)."""
    return replace(
        an_access(),
        doses=tuple(
            DoseReading(id=f"dose {day}", at=at(day), kt_v=kt_v, prescription=prescription) for day, kt_v in rows
        ),
    )


def a_puncture(
    day: float, *, role: NeedleRole = "venous", minutes: float | None = None, cm: float | None = 9.0, heparin: str = ""
) -> Puncture:
    return Puncture(
        id=f"puncture {day} {role}",
        treatment=f"treatment {day}",
        at=at(day),
        role=role,
        along_cm=cm,
        gauge=15,
        direction="with the flow",
        technique="rope-ladder",
        tip="sharp",
        outcome="in use to the end",
        bleeding_minutes=minutes,
        heparin=heparin,
    )


def bleedings(minutes: Sequence[float | None], *, first_day: float = 100, every: float = 2) -> AccessProfile:
    """An access with the bleeding times of its venous site, one for each treatment."""
    punctures = tuple(a_puncture(first_day + every * count, minutes=each) for count, each in enumerate(minutes))
    return replace(an_access(), punctures=punctures)


def a_treatment(day: float, route: str = "two needles") -> TreatmentReading:
    return TreatmentReading(id=f"treatment {day}", at=at(day), route=route)  # type: ignore[arg-type]


def an_event(day: float, what: str) -> EventReading:
    return EventReading(id=f"event {day}", on=on(day), what=what)  # type: ignore[arg-type]


def confirmed(key: str = DEFAULT) -> Protocol:
    """A protocol whose every limit a named person has confirmed."""
    protocol = load(key)
    return in_force(protocol, {limit.id: confirming(limit) for limit in protocol.limits.values()})


def confirming(limit: Limit) -> LocalLimit:
    return LocalLimit(value=limit.value, who="Dov", on=on(-30), why="")


def found(
    profile: AccessProfile, *, rule: str = "", protocol: Protocol | None = None, day: float = NOW
) -> tuple[Finding, ...]:
    """What is found on a day, of one rule or of all, under the confirmed protocol of a new clinic unless told."""
    findings = evaluate(profile, protocol=protocol or CONFIRMED, as_of=at(day))
    return tuple(one for one in findings if rule in ("", one.rule))


def only(profile: AccessProfile, *, rule: str, protocol: Protocol | None = None, day: float = NOW) -> Finding:
    """The one finding of a rule, which must be there."""
    findings = found(profile, rule=rule, protocol=protocol, day=day)
    if len(findings) != 1:
        raise LookupError(f"{rule} found {len(findings)} times, not once.")
    return findings[0]


CONFIRMED = confirmed()
