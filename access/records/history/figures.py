"""The numbers behind the pictures of an access: charts and map.

The numbers are plain data, so that a referral can freeze them and ``pictures`` draw the same years later. Limits and
bands are those of the protocol in force when they were taken; nothing is computed or judged here.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from access.drawing import maps
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, DynamicReading
from access.measures.words import CHANGES_THE_VESSEL
from access.records.history.bands import bands
from access.records.history.baselines import Against, derived, line_pressures, newest_formula, ratio_baseline
from access.records.history.pictures import small_chart
from access.records.history.trends import flow_trend

LOOKED_BACK = timedelta(days=550)  # A year and a half of measurements on one chart.
PRESSURES_SHOWN = timedelta(days=180)
SITES_SHOWN = timedelta(weeks=12)
_LETTER = {"arterial": "A", "venous": "V"}


def figures(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> dict[str, Any]:
    """The numbers of all charts of an access as plain data."""
    since = as_of - LOOKED_BACK
    found = bands(profile, protocol=protocol) if profile.dynamics else []
    pressures_since, against = as_of - PRESSURES_SHOWN, line_pressures(found)
    return {
        "until": as_of.isoformat(),
        "flow": _flow(profile, protocol=protocol, as_of=as_of, since=since),
        "ratio": _ratio(profile, protocol=protocol, as_of=as_of, since=since),
        "venous": _one_pressure(profile, quantity="venous_mmhg", found=found, since=pressures_since),
        "arterial": _one_pressure(profile, quantity="pre_pump_arterial_mmhg", found=found, since=pressures_since),
        "pressures": {"statements": list(against.statements), "worked": against.worked},
        "derived": derived(profile, protocol=protocol, as_of=as_of, since=since),
        "events": _events(profile, since=since.date()),
    }


def _flow(profile: AccessProfile, *, protocol: Protocol, as_of: datetime, since: datetime) -> dict[str, Any]:
    shown = [one for one in profile.flows if one.at >= since]
    known = flow_trend(profile, protocol=protocol, as_of=as_of, since=min((one.at for one in shown), default=since))
    points = []
    for one in shown:
        mark = "doubtful" if one.id in known.doubtful else "" if one.comparable else "not comparable"
        points.append(_point(one.at, one.ml_min, one.low_ml_min, one.high_ml_min, mark))
    return {
        "points": points,
        "limits": _limits(protocol, [(f"flow.below.{profile.kind}", "")]),
        "level": list(known.level),
        "statements": list(known.statements),
        "worked": known.worked,
    }


def _ratio(profile: AccessProfile, *, protocol: Protocol, as_of: datetime, since: datetime) -> dict[str, Any]:
    shown = [one for one in profile.ratios if one.at >= since]
    formula = newest_formula(shown)
    against = Against() if formula is None else ratio_baseline(profile, protocol=protocol, as_of=as_of, formula=formula)
    return {
        # Ratios by another height formula cannot be put beside these.
        "points": [
            _point(one.at, round(one.ratio, 4), mark=_LETTER[one.role]) for one in shown if one.formula == formula
        ],
        "limits": _limits(protocol, [(f"static.{profile.kind}.{role}.outlet", role) for role in _LETTER]),
        "formula": formula or "",
        "bands": list(against.bands),
        "statements": list(against.statements),
        "worked": against.worked,
    }


def _events(profile: AccessProfile, *, since: date) -> list[dict[str, Any]]:
    return [
        {"on": one.on.isoformat(), "word": one.what, "breaks_level": one.what in CHANGES_THE_VESSEL}
        for one in profile.events
        if one.on >= since
    ]


def _point(
    at: datetime, value: float | None, low: float | None = None, high: float | None = None, mark: str = ""
) -> dict[str, Any]:
    return {"at": at.isoformat(), "value": value, "low": low, "high": high, "mark": mark}


def _limits(protocol: Protocol, keys: Sequence[tuple[str, str]]) -> list[dict[str, Any]]:
    rows = []
    for key, whose in keys:
        limit = protocol.limits.get(key)
        if limit is not None:
            parts = (whose, f"limit {limit.written()}", "" if limit.confirmed else "(not confirmed)")
            rows.append({"value": limit.value, "name": " ".join(part for part in parts if part)})
    return rows


def _one_pressure(
    profile: AccessProfile, *, quantity: str, found: Sequence[dict[str, Any]], since: datetime
) -> dict[str, Any]:
    band = next((one for one in found if one["quantity"] == quantity), None)
    if band is None:
        return {"points": [], "bands": [], "pump_ml_min": None}
    first: dict[str, DynamicReading] = {}
    for one in profile.dynamics:
        near = abs(one.pump_ml_min - band["pump_ml_min"]) <= 10
        if near and one.at >= since and getattr(one, quantity) is not None:
            first.setdefault(one.treatment, one)
    usual = [] if band["low"] is None else [{"low": band["low"], "high": band["high"], "name": "usual"}]
    points = [_point(one.at, getattr(one, quantity)) for one in first.values()]
    return {"points": points, "bands": usual, "pump_ml_min": band["pump_ml_min"], "note": band["note"]}


def spark(profile: AccessProfile, *, protocol: Protocol, as_of: datetime, rule: str) -> dict[str, Any] | None:
    """A small chart of the quantity that a rule looks at, or of the other one where it was not measured."""
    since = as_of - LOOKED_BACK
    made = {"flow": _flow, "ratio": _ratio}
    order = ("ratio", "flow") if rule.startswith(("outlet", "static")) else ("flow", "ratio")
    for chosen in order:
        series = made[chosen](profile, protocol=protocol, as_of=as_of, since=since)
        if series["points"]:
            return small_chart(chosen, series, events=_events(profile, since=since.date()), until=as_of)
    return None


def map_marks(profile: AccessProfile, *, day: date) -> dict[str, Any]:
    """What is marked on the map of an access, as plain data: the sites of the last twelve weeks, and its zones."""
    recent = [one for one in profile.punctures if one.along_cm is not None and one.at.date() >= day - SITES_SHOWN]
    return {
        "configuration": profile.configuration,
        "side": profile.side,
        "needled": [profile.needled_from_cm, profile.needled_to_cm],
        "punctures": [
            {"role": one.role, "along_cm": one.along_cm, "days": (day - one.at.date()).days} for one in recent
        ],
        "zones": [
            {"from_cm": one.from_cm, "to_cm": one.to_cm, "why": one.why, "action": one.action}
            for one in profile.zones
            if one.since <= day and (one.until is None or one.until >= day)
        ],
    }


def map_drawn(marks: dict[str, Any], *, view: maps.View = "whole", width: float = 360) -> str:
    """The map of these marks as SVG."""
    low, high = marks["needled"]
    return maps.render(
        marks["configuration"],
        side=marks["side"],
        needled=None if high is None else (low, high),
        punctures=[maps.PastSite(**one) for one in marks["punctures"]],
        zones=[maps.ZoneMark(**one) for one in marks["zones"]],
        view=view,
        width_px=width,
    )
