"""The rule of the pre-pump pressure: against its absolute limit, and against its usual band.

The limit always speaks; the band only where the inflow ratio has no usual baseline of its own (``inflow_fall``).
"Lower" always means more negative. A post-pump pressure enters no rule.
"""

from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter
from typing import cast

from access.measures.band import Band, alike, usual_band
from access.measures.findings import Finding
from access.measures.needle_alone import with_arterial_gauge
from access.measures.pressure_baseline import begun_beyond
from access.measures.readings import DynamicReading
from access.measures.rules import inflow_fall
from access.measures.rules.case import Case, one_a_treatment, tail
from access.measures.rules.measurement import Weight, finding
from access.measures.rules.say import day
from access.measures.succession import Observation, in_succession

RULE = "inflow.pre-pump"
START, END = 39, 12  # A band is made of at most 39 treatments; the end holds any succession asked for.
BAND_SOURCE = "own-choice"  # That a band speaks is not what the source of the absolute limit says.
BAND_SAYS = "Below the 99 % band of this access's own usual values. (own choice or simulation)"
CIRCUIT = "Rule out the circuit first: kink, clamp, needle against the wall, wet filter, clot."


@dataclass(frozen=True, kw_only=True)
class Usual:
    """The usual band at the gauge and pump speed used last, and the treatments held against it."""

    band: Band | None
    judged: tuple[DynamicReading, ...]
    missing: tuple[str, ...]

    def observe(self, one: DynamicReading) -> Observation:
        """One treatment against the band."""
        return _observation(one, odd=self.band is not None and self.band.place(_mmhg(one)) == "below")


def pre_pump(case: Case) -> Finding | None:
    """inflow.pre-pump: pre-pump pressure below the absolute limit, or below its usual band, in succession."""
    readings = [one for one in with_arterial_gauge(case.profile) if one.pre_pump_arterial_mmhg is not None]
    if not readings:
        return None
    held, usual = case.protocol.limits[RULE], _usual(case, readings)
    gap_days = case.protocol.gap_days("pre-pump")
    last = one_a_treatment(readings, treatment=attrgetter("treatment"))
    low = tail(last, observe=lambda one: _observation(one, odd=held.passed(_mmhg(one))))
    absolute = in_succession(low, gap_days=gap_days)
    against = in_succession(tail(usual.judged, observe=usual.observe), gap_days=gap_days)
    by_band = len(against) > len(absolute)
    band_speaks = not inflow_fall.speaks(case)
    if absolute and not band_speaks:
        by_band = False
    run = against if by_band else absolute
    if not run:
        return None
    what = f"below its band ({_band_said(usual.band)})" if by_band else f"below {held.written()}"
    found = finding(
        case,
        rule=RULE,
        limits=[held],
        run=run,
        needed=case.needed("pre-pump"),
        sentence=f"Pre-pump arterial pressure {what}",
        weight=Weight(speaks=case.speaking("pre-pump") == RULE and (band_speaks or not by_band), first_asks=False),
        ask=CIRCUIT,
        missing=usual.missing,
    )
    return replace(found, source=BAND_SOURCE, source_says=BAND_SAYS) if by_band else found


def _usual(case: Case, readings: list[DynamicReading]) -> Usual:
    newest, (since, in_use) = readings[-1], _baseline(case)
    if newest.gauge is None or since is None:
        return Usual(band=None, judged=(), missing=("the gauge: without it there is no usual band",))
    gauge, pump = newest.gauge, newest.pump_ml_min
    # A cheap look before the one that counts, which is made by ``alike``.
    near = [one for one in readings if one.gauge == gauge and abs(one.pump_ml_min - pump) < 10.5]
    firsts = _first_of_each([one for one in near if one.at.date() >= since])
    same = alike(firsts, gauge=gauge, pump_ml_min=pump, since=since)
    judged = same[-case.needed("pre-pump") :]  # A band never takes in what is held against it.
    baseline = same[: len(same) - len(judged)][:START]
    band = usual_band(
        [_mmhg(one) for one in baseline],
        since=since,
        already_in_use=in_use,
        beyond_limit=bool(baseline)
        and begun_beyond(case.profile, protocol=case.protocol, after=case.changed_on, until=baseline[-1].at.date()),
    )
    if band is None:
        where = f"at {gauge}G and {pump:.0f} mL/min"
        return Usual(band=None, judged=(), missing=(f"a usual band {where}: fewer than 8 treatments before these",))
    return Usual(band=band, judged=judged, missing=(band.note,) if band.low is None else ())


def _first_of_each(readings: list[DynamicReading]) -> tuple[DynamicReading, ...]:
    """The first reading of each treatment; of a long history the start, which the band is made of, and the end."""
    first: dict[str, DynamicReading] = {}
    for one in readings:
        first.setdefault(one.treatment, one)
    found = tuple(first.values())
    return (*found[:START], *found[START:][-END:])


def _band_said(band: Band | None) -> str:
    if band is None or band.low is None or band.high is None:
        return ""
    return f"{band.low:.0f} to {band.high:.0f} mmHg, {band.note}"


def _baseline(case: Case) -> tuple[date | None, bool]:
    """From when on the usual values count, and whether the access was already in use then."""
    recorded = case.profile.treatments[0].at.date() if case.profile.treatments else None
    used = case.profile.first_needled_on
    since = max((one for one in (used, case.changed_on, recorded) if one is not None), default=None)
    before = used is None or (recorded is not None and used < recorded)
    return since, before and case.changed_on is None


def _mmhg(one: DynamicReading) -> float:
    return cast(float, one.pre_pump_arterial_mmhg)  # Readings without it were left out at the door.


def _observation(one: DynamicReading, *, odd: bool) -> Observation:
    gauge = "gauge not recorded" if one.gauge is None else f"{one.gauge}G"
    text = f"{day(one.at)}: pre-pump {_mmhg(one):.0f} mmHg at {one.pump_ml_min:.0f} mL/min, {gauge}"
    return Observation(id=one.id, at=one.at, odd=odd, text=text, value=_mmhg(one))
