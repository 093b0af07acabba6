"""From the records of an access to the picture by which the place of a narrowing is weighed.

It chooses the readings and leaves out what is old, not comparable or from before the vessel was changed, saying so; it
weighs nothing.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from statistics import median

from access.measures import Refused
from access.measures.band import alike
from access.measures.findings import Evidence
from access.measures.flow_series import spread
from access.measures.hydraulics import NEEDLE_BORE_MM
from access.measures.narrowing_place import Measure, Picture, Quantity, Taken
from access.measures.pressure import standardized_dynamic
from access.measures.pressure_baseline import begun_beyond, starts
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, DynamicReading, FlowReading
from access.measures.rules import bleeding
from access.measures.rules.case import BLEEDING, Case, open_case
from access.measures.rules.say import day
from access.measures.succession import one_an_occasion
from access.measures.words import CHANGES_THE_VESSEL

APART_DAYS = 60  # A baseline lies at least this long before what is held against it (own choice).
UNKNOWN_FLOW_CV = 0.25  # Of a flow by a method whose doubt is not known (own choice).


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Which readings make one quantity: how many now, how many of the first for a baseline, and when they are old."""

    name: Measure
    now: int
    before: tuple[int, int]  # At least, at most.
    planned: str  # The quantity of the protocol whose gap makes a reading old.


_FLOW = Wanted(name="flow", now=1, before=(1, 3), planned="flow")
_RATIOS = {
    "arterial": Wanted(name="arterial ratio", now=1, before=(1, 3), planned="static"),
    "venous": Wanted(name="venous ratio", now=1, before=(1, 3), planned="static"),
}
_VENOUS = Wanted(name="venous pressure", now=6, before=(8, 12), planned="dynamic")
_PRE_PUMP = Wanted(name="pre-pump pressure", now=6, before=(8, 12), planned="pre-pump")


@dataclass(frozen=True, kw_only=True)
class _Point:
    """One reading of a quantity as it enters."""

    at: datetime
    value: float
    input: Evidence
    sd: float | None = None


def picture_of(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> Picture:
    """What is known of an access at a moment, as far as it tells of the place of a narrowing.

    Parameters
    ----------
    profile : AccessProfile
        All that is known of the access; later readings, and those before the vessel was changed, are left out.
    protocol : Protocol
        Says when a reading is too old, and from where on a baseline is not taken for an open access.
    as_of : datetime
        The moment of asking, with its zone.

    Returns
    -------
    Picture
        Flow: the latest comparable one, against the first three by its method. Ratios: of one formula and one day,
        against the first three of that formula. Pressures: the middle of the last six treatments at one gauge and
        speed, the standardized ones where there are some, against the first 8 to 12. Signs: those odd when last
        looked for.

    Raises
    ------
    Refused
        When ``as_of`` carries no zone.
    """
    if as_of.tzinfo is None:
        raise Refused("A moment without its zone cannot be placed.", field="as_of")
    case = open_case(profile, protocol=protocol, as_of=as_of)
    if case.ended:
        return Picture(kind=profile.kind, since="the access was abandoned")
    case = replace(case, bleeding_holds=bleeding.holds(case))
    dynamics = _dynamics(case)
    found = {name: _quantity(case, wanted, points) for name, (wanted, points) in _points(case, dynamics).items()}
    quantities = {name: one for name, one in found.items() if isinstance(one, Quantity)}
    why_missing = {name: one for name, one in found.items() if isinstance(one, str)}
    if _began_beyond_limit(case, quantities.values()):
        quantities = {name: replace(one, before=None) for name, one in quantities.items()}
        why_missing |= {name: f"{name}: no baseline, since it began beyond the protocol's limit" for name in quantities}
    picture = Picture(kind=profile.kind, quantities=quantities, why_missing=why_missing, since=_since(case))
    return _with_signs(case, _under_conditions(case, picture, dynamics=dynamics))


def _points(case: Case, dynamics: Sequence[DynamicReading]) -> dict[Measure, tuple[Wanted, list[_Point]]]:
    """The readings that can make each quantity, in order of time."""
    flows = one_an_occasion(one for one in case.profile.flows if one.comparable and one.ml_min > 0)
    by_method = [_flow(one) for one in flows if one.method == flows[-1].method]
    found: dict[Measure, tuple[Wanted, list[_Point]]] = {"flow": (_FLOW, by_method)}
    ratios = case.profile.ratios
    for role, wanted in _RATIOS.items():
        same = one_an_occasion(one for one in ratios if one.role == role and one.formula == ratios[-1].formula)
        # Both are read at one stop of the pump; one alone of another day would be another access.
        known = same if same and same[-1].at.date() == ratios[-1].at.date() else ()
        text = f"static ratio at the {role} needle"
        points = [_point(one.id, one.at, one.ratio, f"{text} {one.ratio:.2f} ({one.formula} height)") for one in known]
        found[wanted.name] = (wanted, points)
    found["venous pressure"] = (_VENOUS, _pressures(dynamics, what="venous", read=lambda one: one.venous_mmhg))
    of_its_gauge = _of_one_arterial_gauge(case, dynamics)
    found["pre-pump pressure"] = (
        _PRE_PUMP,
        _pressures(of_its_gauge, what="pre-pump", read=lambda one: one.pre_pump_arterial_mmhg),
    )
    return found


def _point(key: str, at: datetime, value: float, text: str, *, sd: float | None = None) -> _Point:
    return _Point(at=at, value=value, input=Evidence(id=key, at=at, text=f"{day(at)}: {text}"), sd=sd)


def _flow(one: FlowReading) -> _Point:
    text = f"flow {one.ml_min:.0f} mL/min ({one.method})"
    return _point(one.id, one.at, one.ml_min, text, sd=spread(one) or UNKNOWN_FLOW_CV)


def _pressures(
    readings: Sequence[DynamicReading], *, what: str, read: Callable[[DynamicReading], float | None]
) -> list[_Point]:
    return [
        _point(one.id, one.at, mmhg, f"{what} {mmhg:.0f} mmHg at {one.pump_ml_min:.0f} mL/min, {one.gauge}G")
        for one in readings
        if (mmhg := read(one)) is not None
    ]


def _dynamics(case: Case) -> tuple[DynamicReading, ...]:
    """The first reading of each treatment at the gauge and speed used last; standardized ones where they go on."""
    known = [one for one in case.profile.dynamics if one.gauge in NEEDLE_BORE_MM]
    standard = [one for one in known if standardized_dynamic(one).counts]
    if standard and not _old(case, standard[-1].at, planned="dynamic"):
        known = standard
    if not known:
        return ()
    last = known[-1]
    return alike(known, gauge=last.gauge or 0, pump_ml_min=last.pump_ml_min, since=date.min)


def _of_one_arterial_gauge(case: Case, readings: Sequence[DynamicReading]) -> tuple[DynamicReading, ...]:
    """These readings with the gauge of the arterial needle, as far as it is that of the last one.

    A reading carries the gauge of the venous needle; it stands in only where no puncture of its treatment is recorded.
    """
    recorded = {one.treatment for one in case.profile.punctures}
    gauges = {
        one.treatment: one.gauge for one in case.profile.punctures if one.role == "arterial" and one.outcome != "failed"
    }
    own = [replace(one, gauge=gauges.get(one.treatment)) if one.treatment in recorded else one for one in readings]
    known = [one for one in own if one.gauge in NEEDLE_BORE_MM]
    return tuple(one for one in known if one.gauge == known[-1].gauge)


def _old(case: Case, at: datetime, *, planned: str) -> bool:
    return (case.as_of - at).days > case.protocol.gap_days(planned)


def _quantity(case: Case, wanted: Wanted, points: Sequence[_Point]) -> Quantity | str:
    """The quantity that the readings make, or why they make none."""
    if not points:
        return f"{wanted.name}: not measured"
    new = [one for one in points if not _old(case, one.at, planned=wanted.planned)][-wanted.now :]
    if not new:
        gap = case.protocol.gap_days(wanted.planned)
        return f"{wanted.name}: last on {day(points[-1].at)}, more than {gap:.0f} days ago"
    least, most = wanted.before
    first = [one for one in points if (new[0].at - one.at).days >= APART_DAYS][:most]
    return Quantity(now=_taken(new), before=_taken(first) if len(first) >= least else None)


def _taken(points: Sequence[_Point]) -> Taken:
    known = [one.sd for one in points if one.sd is not None]
    return Taken(
        value=median(one.value for one in points),
        count=len(points),
        reading_sd=max(known, default=None),
        inputs=tuple(one.input for one in points),
    )


def _began_beyond_limit(case: Case, quantities: Iterable[Quantity]) -> bool:
    """Whether flow or venous ratio was beyond the protocol's limit as the baselines began: that is no open access."""
    taken = [one for quantity in quantities if quantity.before is not None for one in quantity.before.inputs]
    until = max((one.at.date() for one in taken), default=None)
    return until is not None and begun_beyond(case.profile, protocol=case.protocol, after=case.changed_on, until=until)


def _since(case: Case) -> str:
    changes = [one for one in case.profile.events if one.what in CHANGES_THE_VESSEL]
    return f"the {changes[-1].what} of {day(changes[-1].on)}" if changes else ""


def _under_conditions(case: Case, picture: Picture, *, dynamics: Sequence[DynamicReading]) -> Picture:
    """The picture with the blood pressure, hematocrit, speed and gauges at which its readings were taken."""
    arterial = [one for one in _of_one_arterial_gauge(case, dynamics) if one.pre_pump_arterial_mmhg is not None]
    pressures = _known(one.mean_arterial_mmhg for one in case.profile.flows[-1:])
    pressures += _known(one.mean_arterial_mmhg for one in dynamics[-_VENOUS.now :])
    cells = _known(one.hematocrit_fraction for one in dynamics)
    remarks = (
        [] if pressures else [f"mean arterial pressure: not recorded, {picture.mean_arterial_mmhg:.0f} mmHg taken"]
    )
    with_baseline = any(one.before is not None for one in picture.quantities.values())
    if with_baseline and case.changed_on is None and starts(case.profile, changes=())[0].already_in_use:
        remarks.append("baseline: the access was in use before its records begin; not known to be open then")
    return replace(
        picture,
        mean_arterial_mmhg=median(pressures) if pressures else picture.mean_arterial_mmhg,
        hematocrit_fraction=cells[-1] if cells else picture.hematocrit_fraction,
        pump_ml_min=dynamics[-1].pump_ml_min if dynamics else picture.pump_ml_min,
        venous_gauge=(dynamics[-1].gauge if dynamics else None) or picture.venous_gauge,
        arterial_gauge=(arterial[-1].gauge if arterial else None) or picture.arterial_gauge,
        remarks=tuple(remarks),
    )


def _known(numbers: Iterable[float | None]) -> list[float]:
    return [one for one in numbers if one is not None]


def _with_signs(case: Case, picture: Picture) -> Picture:
    """The picture with the signs that were odd when last looked for, by the side to which they point."""

    def words(group: str) -> tuple[str, ...]:
        return tuple(sign.words for sign in case.odd_signs if sign.group == group)

    seen = [case.held(sign).run[-1].evidence() for sign in case.odd_signs]
    return replace(
        picture,
        inflow_signs=words("inflow"),
        outflow_signs=(*words("outflow"), *((BLEEDING,) if case.bleeding_holds else ())),
        other_signs=words("other"),
        inputs=tuple(seen),
    )
