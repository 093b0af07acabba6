"""Absolute limits of the outlet pressure: the static ratio in succession, else the standardized dynamic pressure.

Outlet pressure is one quantity: exactly one of its rules raises, the others are shown as evidence. These two speak
where no ratio can be held against the access's own baseline (``outlet_rise``).
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import islice

from access.measures.findings import Finding
from access.measures.pressure import standardized_dynamic
from access.measures.pressure_baseline import STATIC_SD
from access.measures.protocol import Limit
from access.measures.readings import DynamicReading, RatioReading
from access.measures.rules import outlet_rise
from access.measures.rules.case import Case, one_a_treatment, tail
from access.measures.rules.likely import likely_above, needed_of
from access.measures.rules.measurement import Weight, finding, no_limit
from access.measures.rules.place import place_said
from access.measures.rules.say import day
from access.measures.succession import Observation, T, in_succession, one_an_occasion

NEWEST = 60  # Readings looked at: far more than any succession needs.
STATIC, DYNAMIC = "outlet.static-ratio", "outlet.dynamic"
Run = tuple[Observation, ...]


def static_ratio(case: Case) -> Finding | None:
    """outlet.static-ratio: venous static ratio beyond its limit, two in succession by one formula, likely by mean."""
    kind, held = case.profile.kind, _static_limit(case)
    if held is None:
        return no_limit(case, rule=STATIC, what=f"static ratio of a {kind}", at=[one.at for one in _venous(case)])
    ratios = venous_ratios(case)
    run = _static_run(case, ratios)
    if not run:
        return None
    least, values = case.needed("static"), [one.value for one in run]
    likely = likely_above(values, limit=held.value, spreads=[STATIC_SD] * len(run), least=least)
    needed = needed_of(len(run), needed=least, likely=likely)
    beyond = f"{held.beyond} {held.written()} ({ratios[-1].formula} height)"
    return finding(
        case,
        rule=STATIC,
        limits=[held],
        run=run,
        needed=needed.times,
        sentence=f"Static ratio at the venous needle {beyond}{needed.doubt}",
        weight=Weight(speaks=speaking(case) == STATIC, may_refer=True),
        ask=place_said(case, venous=ratios[-1]) if len(run) >= needed.times else "Repeat within 7 days.",
        missing=_other_formulas(case, used=ratios[-1].formula),
    )


def dynamic(case: Case) -> Finding | None:
    """outlet.dynamic: standardized dynamic venous pressure beyond the limit, three treatments in succession."""
    limited = standardized(case)
    if not limited:
        what = "standardized dynamic venous pressure"
        return no_limit(case, rule=DYNAMIC, what=what, at=[one.at for one in _under_conditions(case)])
    run = _dynamic_run(case, limited)
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
        missing=("a static ratio in the last four weeks",) if speaking(case) == DYNAMIC else (),
    )


def speaking(case: Case) -> str:
    """Which rule speaks for the outlet: its rise, else the first of the row measured often enough, else the newest.

    A high static ratio that was never repeated goes on asking until the dynamic pressure meets its own rule: a request
    never lapses because something else was measured.
    """
    if outlet_rise.speaks(case):
        return outlet_rise.RULE
    last: dict[str, datetime] = {}
    ratios, readings = venous_ratios(case), _under_conditions(case)
    if ratios and _static_limit(case) is not None:
        last[STATIC] = ratios[-1].at
    if readings:
        last[DYNAMIC] = readings[-1].at
    row = [rule for rule in case.protocol.rules["outlet"] if rule in last]
    days = case.protocol.number("outlet.static-every-days")
    recent = [rule for rule in row if (case.as_of.date() - last[rule].date()).days <= days]
    newest = max(row, key=lambda rule: last[rule], default=case.protocol.rules["outlet"][0])
    first = recent[0] if recent else newest
    met = len(_dynamic_run(case, standardized(case))) >= case.needed("dynamic")
    return STATIC if STATIC in row and not met and _static_run(case, ratios) else first


def venous_ratios(case: Case) -> tuple[RatioReading, ...]:
    """Static ratios of the venous needle by the formula that speaks: a trend never crosses formulas."""
    return _speaking_series(
        _venous(case),
        alike=lambda one: one.formula,
        run_of=lambda ratios: _static_run(case, ratios),
        needed=case.needed("static"),
    )


def standardized(case: Case) -> tuple[DynamicReading, ...]:
    """Readings under the standard conditions that a limit is known for, at the gauge that speaks, one a treatment."""
    return _speaking_series(
        [one for one in _under_conditions(case) if _limit_of(one, case) is not None],
        alike=lambda one: one.gauge,
        run_of=lambda readings: _dynamic_run(case, readings),
        needed=case.needed("dynamic"),
    )


def _speaking_series(
    readings: Sequence[T], *, alike: Callable[[T], object], run_of: Callable[[Sequence[T]], Run], needed: int
) -> tuple[T, ...]:
    """The readings of the gauge or formula used last, or of the one before while too few answer what it showed.

    A change of gauge or formula must not silence what was seen: until the new one has been read as often as its rule
    needs, the longer succession speaks.
    """
    newest = [one for one in readings if alike(one) == alike(readings[-1])]
    others = [one for one in readings if alike(one) != alike(readings[-1])]
    if not others or sum(one.at > others[-1].at for one in newest) >= needed:
        return tuple(newest)
    before = [one for one in others if alike(one) == alike(others[-1])]
    return tuple(before if len(run_of(before)) > len(run_of(newest)) else newest)


def _static_limit(case: Case) -> Limit | None:
    return case.protocol.limits.get(f"static.{case.profile.kind}.venous.outlet")


def _venous(case: Case) -> tuple[RatioReading, ...]:
    return one_an_occasion(one for one in case.profile.ratios if one.role == "venous")


def _under_conditions(case: Case) -> tuple[DynamicReading, ...]:
    """Readings under the standard conditions at any gauge, one a treatment."""
    return case.once("outlet.under-conditions", _counted)


def _counted(case: Case) -> tuple[DynamicReading, ...]:
    near = (one for one in reversed(case.profile.dynamics) if 199 <= one.pump_ml_min <= 201)
    counted = [one for one in islice(near, NEWEST) if standardized_dynamic(one).counts]
    return one_a_treatment(counted[::-1], treatment=lambda one: one.treatment)


def _static_run(case: Case, ratios: Sequence[RatioReading]) -> Run:
    held = _static_limit(case)
    if held is None:
        return ()
    observations = tail(ratios, observe=lambda one: _ratio(one, limit=held))
    return in_succession(observations, gap_days=case.protocol.gap_days("static"))


def _dynamic_run(case: Case, readings: Sequence[DynamicReading]) -> Run:
    observations = tail(readings, observe=lambda one: _dynamic(one, case))
    return in_succession(observations, gap_days=case.protocol.gap_days("dynamic"))


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


def _other_formulas(case: Case, *, used: str) -> tuple[str, ...]:
    others = sorted({one.formula for one in case.profile.ratios if one.role == "venous" and one.formula != used})
    return tuple(f"ratios by the {other} height are kept apart and not joined" for other in others)
