"""Pressures of an access against its own baseline, as plain data: where usual values lie, and the last six against it.

Baselines and ratios are computed in ``access.measures``; here they become bands of a chart and sentences. It raises
nothing, and draws nothing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median
from typing import Any

from access.drawing.series import rounded
from access.measures.derived import PUBLISHED_CUT
from access.measures.fieller import Z_90
from access.measures.pressure_series import PressureSeries, derived_series, static_series
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, RatioReading
from access.measures.units import is_above, is_below
from access.measures.words import NeedleRole, RatioFormula
from access.records.history.describe import day_in_words
from access.records.history.worked import IN_SIMULATION, Input, worked

LAST = 6
RATIO_SECTIONS = ("pressure.static-ratio", "pressure.baseline")
DERIVED_SECTIONS = ("pressure.derived-series", "pressure.baseline")
BAND_SECTIONS = ("pressure.usual-band",)
LINES = {"venous_mmhg": "Venous", "pre_pump_arterial_mmhg": "Before the pump"}
ROLES: tuple[tuple[NeedleRole, str], ...] = (("arterial", "A"), ("venous", "V"))

Said = tuple[str, str]  # A sentence without its end, and the note of the baseline that it speaks of.


@dataclass(frozen=True, kw_only=True)
class Against:
    """What stands beside the points of a chart: bands (plain data), sentences, and how it is worked out."""

    bands: tuple[dict[str, Any], ...] = ()
    statements: tuple[str, ...] = ()
    worked: dict[str, Any] | None = None


def last_against(values: Sequence[float], *, low: float, high: float, range_: str, decimals: int) -> str:
    """Where the last values lie against a range: ``4 of the last 6 above the usual 118 to 164 mmHg``."""
    last = values[-LAST:]
    above = sum(is_above(one, high, decimals=decimals) for one in last)
    below = sum(is_below(one, low, decimals=decimals) for one in last)
    whole = f"the last {len(last)}" if len(last) > 1 else "the last one"
    if not above and not below:
        return f"{whole} within {range_}"
    if len(last) in (above, below):
        return f"{whole} {'above' if above else 'below'} {range_}"
    if above and below:
        return f"of the last {len(last)}, {above} above and {below} below {range_}"
    return f"{above or below} of the last {len(last)} {'above' if above else 'below'} {range_}"


def ratio_baseline(profile: AccessProfile, *, protocol: Protocol, as_of: datetime, formula: RatioFormula) -> Against:
    """The static ratios of both needles by one height formula against their baselines."""
    bands: list[dict[str, Any]] = []
    said: list[Said] = []
    inputs: list[Input] = []
    for role, letter in ROLES:
        found = static_series(profile, protocol=protocol, as_of=as_of, role=role, formula=formula)
        if not found.rows:
            continue
        said.append(_said(found, whose=role.capitalize()))
        bands += _band(found, name=f"baseline {letter}", mark=letter, as_of=as_of)
        inputs += _inputs(found, whose=role.capitalize())
    inputs.append(("Height", formula))
    return Against(bands=tuple(bands), statements=_noted(said), worked=worked(RATIO_SECTIONS, inputs=inputs))


def derived(profile: AccessProfile, *, protocol: Protocol, as_of: datetime, since: datetime) -> dict[str, Any]:
    """The weekly medians of the derived static ratio from ``since`` on, against their baseline, where there is one."""
    found = derived_series(profile, protocol=protocol, as_of=as_of)
    rows = [one for one in found.rows if one.at >= since]
    if not rows or found.baseline is None:
        return {"points": []}
    inputs = [*_inputs(found, whose="Weeks"), ("Needle and tubing", found.how)]
    return {
        "points": [
            {"at": one.at.isoformat(), "value": round(one.ratio, 4), "low": None, "high": None, "mark": "V"}
            for one in rows
        ],
        "limits": [{"value": PUBLISHED_CUT, "name": f"published {PUBLISHED_CUT:.2f}, for comparison"}],
        "bands": _band(found, name="baseline", mark="", as_of=as_of),
        "statements": list(_noted([_said(found, whose="Weekly medians")])),
        "worked": worked(DERIVED_SECTIONS, inputs=inputs, doubt=IN_SIMULATION),
    }


def within(found: PressureSeries) -> tuple[float, float] | None:
    """Between which ratios 90 % of single rows lie while nothing changes, by the doubt of the baseline and of a row.

    ``None`` where the baseline must not be called usual.
    """
    if found.baseline is None or not found.baseline.usual:
        return None
    half = Z_90 * math.hypot(found.baseline.sd, _spread_of_one(found))
    return found.baseline.level - half, found.baseline.level + half


def _spread_of_one(found: PressureSeries) -> float:
    """Standard deviation of a row as most are; a week with a single treatment knows less."""
    return math.sqrt(median(one.variance for one in found.rows))


def _band(found: PressureSeries, *, name: str, mark: str, as_of: datetime) -> list[dict[str, Any]]:
    ends = within(found)
    if ends is None or found.baseline is None:
        return []
    since = datetime.combine(found.baseline.since, datetime.min.time(), tzinfo=as_of.tzinfo).isoformat()
    return [{"low": round(ends[0], 4), "high": round(ends[1], 4), "name": name, "since": since, "mark": mark}]


def _said(found: PressureSeries, *, whose: str) -> Said:
    """Where the rows since the vessel was last changed lie against the baseline, or why there is none."""
    now = [one.ratio for one in found.rows if one.era == found.rows[-1].era]
    ends = within(found)
    if found.baseline is None:
        return f"{whose}: too few for a baseline yet", ""
    if ends is None:
        return f"{whose}: no baseline", found.baseline.note
    low, high = ends
    range_ = f"the baseline of {rounded(low, 2)} to {rounded(high, 2)}"
    return f"{whose}: {last_against(now, low=low, high=high, range_=range_, decimals=2)}", found.baseline.note


def _noted(said: Sequence[Said]) -> tuple[str, ...]:
    """The sentences with the notes of their baselines; one that all share is said once, at the end."""
    notes = {note for _, note in said}
    if len(said) > 1 and len(notes) == 1 and (note := notes.pop()):
        return (*(f"{text}." for text, _ in said), f"{note[0].upper()}{note[1:]}.")
    return tuple(f"{text} ({note})." if note else f"{text}." for text, note in said)


def _inputs(found: PressureSeries, *, whose: str) -> list[Input]:
    known = found.baseline
    return [
        (whose, f"{len(found.rows)} since {day_in_words(found.rows[0].at.date())}"),
        (
            f"{whose}, baseline",
            f"{known.level:.2f} ± {Z_90 * known.sd:.2f} from the first {known.count}" if known else "",
        ),
        (f"{whose}, a single one", f"± {Z_90 * _spread_of_one(found):.2f} (90 %)"),
        (f"{whose}, note", "; ".join(found.notes)),
    ]


def line_pressures(found: Sequence[dict[str, Any]]) -> Against:
    """The last pressures with the pump running against the usual band of their gauge and pump speed."""
    said: list[Said] = []
    inputs: list[Input] = []
    for quantity, name in LINES.items():
        band = next((one for one in found if one["quantity"] == quantity), None)
        if band is None:
            continue
        said.append((f"{name}: {_pressures_said(band)}", band["note"]))
        inputs.append((name, f"{band['count']} treatments, {band['gauge']}G at {band['pump_ml_min']:.0f} mL/min"))
        middle = "" if band["median"] is None else f"{rounded(band['median'], 0)} mmHg"
        inputs.append((f"{name}, median", middle))
    return Against(statements=_noted(said), worked=worked(BAND_SECTIONS, inputs=inputs) if said else None)


def _pressures_said(band: dict[str, Any]) -> str:
    if band["low"] is None:
        return "no usual band"
    values, low, high = [one["value"] for one in band["last"]], band["low"], band["high"]
    range_ = f"the usual {rounded(low, 0)} to {rounded(high, 0)} mmHg"
    return last_against(values, low=low, high=high, range_=range_, decimals=0)


def newest_formula(ratios: Sequence[RatioReading]) -> RatioFormula | None:
    """The height formula of the newest ratio; others are not joined with it."""
    return ratios[-1].formula if ratios else None
