"""Rules of the outlet pressure: the static ratio in succession, else the standardized dynamic pressure.

Outlet pressure is one quantity: exactly one of its rules raises, the other is shown as evidence.
"""

from datetime import datetime

from access.measures.findings import Finding
from access.measures.pressure import standardized_dynamic
from access.measures.protocol import Limit
from access.measures.readings import DynamicReading, RatioReading
from access.measures.rules.case import Case, one_a_treatment, tail
from access.measures.rules.measurement import Weight, finding, no_limit
from access.measures.rules.place import place_said
from access.measures.rules.say import day
from access.measures.succession import Observation, in_succession

NEWEST = 60  # Readings looked at: far more than any succession needs.
STATIC, DYNAMIC = "outlet.static-ratio", "outlet.dynamic"


def static_ratio(case: Case) -> Finding | None:
    """outlet.static-ratio: static ratio of the venous needle beyond its limit, two in succession by one formula."""
    kind, ratios = case.profile.kind, venous_ratios(case)
    held = case.protocol.limits.get(f"static.{kind}.venous.outlet")
    if held is None:
        return no_limit(case, rule=STATIC, what=f"static ratio of a {kind}", at=[one.at for one in ratios])
    observations = tail(ratios, observe=lambda one: _ratio(one, limit=held))
    run = in_succession(observations, gap_days=case.protocol.gap_days("static"))
    if not run:
        return None
    return finding(
        case,
        rule=STATIC,
        limits=[held],
        run=run,
        needed=case.needed("static"),
        sentence=f"Static ratio at the venous needle {held.beyond} {held.written()} ({ratios[-1].formula} height)",
        weight=Weight(speaks=speaking(case) == STATIC, may_refer=True),
        ask=place_said(case, venous=ratios[-1]) if len(run) >= case.needed("static") else "Repeat within 7 days.",
        missing=_other_formulas(case),
    )


def dynamic(case: Case) -> Finding | None:
    """outlet.dynamic: standardized dynamic venous pressure beyond the limit, three treatments in succession."""
    readings = standardized(case)
    limited = [one for one in readings if _limit_of(one, case) is not None]
    if not limited:
        what = "standardized dynamic venous pressure"
        return no_limit(case, rule=DYNAMIC, what=what, at=[one.at for one in readings])
    observations = tail(limited, observe=lambda one: _dynamic(one, case))
    run = in_succession(observations, gap_days=case.protocol.gap_days("dynamic"))
    if not run:
        return None
    treatments = {one.id: one for one in limited}
    limits = [limit for one in run if (limit := _limit_of(treatments[one.id], case)) is not None]
    gauge = limited[-1].gauge
    return finding(
        case,
        rule=DYNAMIC,
        # Read at one station after another, each against its own limit: the newest is named.
        limits=limits[::-1],
        run=run,
        needed=case.needed("dynamic"),
        sentence=f"Venous pressure at 200 mL/min, minute 2 to 5, {gauge}G, above {limits[-1].written()}",
        weight=Weight(speaks=speaking(case) == DYNAMIC, first_asks=False, may_refer=True),
        ask="Rule out the circuit first: kink, clamp, needle against the wall, chamber level, wet filter, clot.",
        missing=() if speaking(case) == STATIC else ("a static ratio in the last four weeks",),
    )


def speaking(case: Case) -> str:
    """Which rule speaks for the outlet: the first of the protocol's row measured often enough, else the newest."""
    last: dict[str, datetime] = {}
    ratios, readings = venous_ratios(case), standardized(case)
    if ratios and f"static.{case.profile.kind}.venous.outlet" in case.protocol.limits:
        last[STATIC] = ratios[-1].at
    if readings:
        last[DYNAMIC] = readings[-1].at
    row = [rule for rule in case.protocol.rules["outlet"] if rule in last]
    days = case.protocol.number("outlet.static-every-days")
    for rule in row:
        if (case.as_of.date() - last[rule].date()).days <= days:
            return rule
    return max(row, key=lambda rule: last[rule], default=case.protocol.rules["outlet"][0])


def venous_ratios(case: Case) -> tuple[RatioReading, ...]:
    """Static ratios of the venous needle by the formula used last: a trend never crosses formulas."""
    venous = [one for one in case.profile.ratios if one.role == "venous"]
    return tuple(one for one in venous if one.formula == venous[-1].formula)


def standardized(case: Case) -> tuple[DynamicReading, ...]:
    """Readings under the standard conditions at the gauge used last, one a treatment."""
    near = [one for one in case.profile.dynamics if 199 <= one.pump_ml_min <= 201]
    counted = [one for one in near[-NEWEST:] if standardized_dynamic(one).counts]
    same = [one for one in counted if one.gauge == counted[-1].gauge]
    return one_a_treatment(same, treatment=lambda one: one.treatment)


def _ratio(one: RatioReading, *, limit: Limit) -> Observation:
    text = f"{day(one.at)}: static ratio {one.ratio:.2f} at the venous needle ({one.formula} height)"
    return Observation(id=one.id, at=one.at, odd=limit.passed(one.ratio), text=text, value=one.ratio)


def _limit_of(one: DynamicReading, case: Case) -> Limit | None:
    """The station's own limit where it has one, since machines differ; else the protocol's."""
    held = case.protocol.limits.get(DYNAMIC)
    if one.venous_limit_mmhg is None:
        return held
    return Limit(
        id=DYNAMIC,
        name="standardized dynamic venous pressure",
        value=one.venous_limit_mmhg,
        unit="mmHg",
        beyond="above",
        decimals=0,
        bounds=(0, 400),
        source="dynamic-pressure",
        standing="published",
        says="Three treatments in succession above the clinic's own limit; the limit is that of the station's machine.",
        confirmed=True,
    )


def _dynamic(one: DynamicReading, case: Case) -> Observation:
    limit, pressure = _limit_of(one, case), one.venous_mmhg
    odd = limit is not None and pressure is not None and limit.passed(pressure)
    said = "" if limit is None else f", limit {limit.written()}"
    text = f"{day(one.at)}: {pressure:.0f} mmHg at 200 mL/min, minute {one.minute:.0f}, {one.gauge}G{said}"
    return Observation(id=one.id, at=one.at, odd=odd, text=text, value=pressure or 0.0)


def _other_formulas(case: Case) -> tuple[str, ...]:
    used = venous_ratios(case)[-1].formula
    others = sorted({one.formula for one in case.profile.ratios if one.role == "venous" and one.formula != used})
    return tuple(f"ratios by the {other} height are kept apart and not joined" for other in others)
