"""The usual bands of an access's line pressures, by gauge and pump speed, as the chair shows them.

Which value is out of its band is compared on the page; what follows from it is for the rules.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from access.measures.band import alike, usual_band
from access.measures.needle_alone import with_arterial_gauge
from access.measures.pressure_baseline import begun_beyond
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, DynamicReading
from access.measures.words import CHANGES_THE_VESSEL, NeedleRole

QUANTITIES: tuple[tuple[str, NeedleRole], ...] = (("venous_mmhg", "venous"), ("pre_pump_arterial_mmhg", "arterial"))
# How far two pump speeds lie apart (mL/min) before each has a band of its own; ``alike`` joins what is nearer.
APART_ML_MIN = 10
MOST_BANDS = 6
MADE_OF = 39  # Treatments after these never move a band.
SHOWN = 6


def bands(profile: AccessProfile, *, protocol: Protocol) -> list[dict[str, Any]]:
    """The bands of both line pressures at the gauges and speeds in use lately, the commonest first."""
    if not profile.treatments:
        return []
    since, in_use = baseline_start(profile)
    profile = _since_the_change(profile)
    rows = []
    for quantity, role in QUANTITIES:
        readings = _with_gauge(profile, quantity=quantity, role=role)
        for gauge, pump in _conditions(readings):
            same = alike(readings, gauge=gauge, pump_ml_min=pump, since=since)
            values = [getattr(one, quantity) for one in same]
            beyond = bool(same) and begun_beyond(
                profile, protocol=protocol, after=since - timedelta(days=1), until=same[:MADE_OF][-1].at.date()
            )
            band = usual_band(values, since=since, already_in_use=in_use, beyond_limit=beyond)
            rows.append(
                {
                    "quantity": quantity,
                    "gauge": gauge,
                    "pump_ml_min": pump,
                    "low": band and band.low,
                    "high": band and band.high,
                    "median": band and band.median,
                    "count": len(values),
                    "since": since.isoformat(),
                    "note": band.note if band else f"no band yet: {len(values)} of 8 treatments",
                    "last": _last(same, quantity=quantity),
                }
            )
    return rows


def _last(readings: Sequence[DynamicReading], *, quantity: str) -> list[dict[str, Any]]:
    return [{"on": one.at.date().isoformat(), "value": getattr(one, quantity)} for one in readings[-SHOWN:]]


def baseline_start(profile: AccessProfile) -> tuple[date, bool]:
    """From when pressures count as usual, and whether the access was in use before its first treatment here."""
    first_here = profile.treatments[0].at.date()
    changed = [event.on for event in profile.events if event.what in CHANGES_THE_VESSEL]
    starts = [first_here, *changed, *([profile.first_needled_on] if profile.first_needled_on else [])]
    before = profile.first_needled_on is None or profile.first_needled_on < first_here
    return max(starts), before and not changed


def _since_the_change(profile: AccessProfile) -> AccessProfile:
    """The profile without what was measured before the vessel was last changed, or on that day."""
    changed = max((event.on for event in profile.events if event.what in CHANGES_THE_VESSEL), default=None)
    if changed is None:
        return profile
    return replace(
        profile,
        flows=tuple(one for one in profile.flows if one.at.date() > changed),
        ratios=tuple(one for one in profile.ratios if one.at.date() > changed),
        dynamics=tuple(one for one in profile.dynamics if one.at.date() > changed),
    )


def _with_gauge(profile: AccessProfile, *, quantity: str, role: NeedleRole) -> list[DynamicReading]:
    """The readings that hold this pressure, each with the gauge of the needle on its own side."""
    readings = profile.dynamics if role == "venous" else with_arterial_gauge(profile)
    return [one for one in readings if getattr(one, quantity) is not None]


def _conditions(readings: Sequence[DynamicReading]) -> Iterable[tuple[int, float]]:
    """Gauge and pump speed of the last readings, the commonest first; speeds that share a band are named once."""
    lately = {one.treatment: None for one in readings}
    kept = set(list(lately)[-2 * SHOWN :])
    counted = Counter(
        (one.gauge, float(round(one.pump_ml_min))) for one in readings if one.treatment in kept and one.gauge
    )
    chosen: list[tuple[int, float]] = []
    for (gauge, pump), _ in counted.most_common():
        if gauge is not None and not any(g == gauge and abs(p - pump) <= APART_ML_MIN for g, p in chosen):
            chosen.append((gauge, pump))
    return chosen[:MOST_BANDS]
