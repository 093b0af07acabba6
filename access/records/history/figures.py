"""The numbers behind the pictures of an access, and the pictures made from them: charts and map.

The numbers are plain data, so that a referral can freeze them and draw the same picture years later. Limits and
bands are those of the protocol in force when they were taken; nothing is computed or judged here.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from access.drawing import charts as draw
from access.drawing import maps
from access.drawing.series import Band, ChartPoint, EventMark, Limit
from access.drawing.tables import table_of
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, DynamicReading
from access.records.history.bands import bands

LOOKED_BACK = timedelta(days=550)  # A year and a half of measurements on one chart.
PRESSURES_SHOWN = timedelta(days=180)
SITES_SHOWN = timedelta(weeks=12)
_LETTER = {"arterial": "A", "venous": "V"}


def figures(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> dict[str, Any]:
    """The numbers of all charts of an access as plain data."""
    since = as_of - LOOKED_BACK
    venous, arterial = _pressures(profile, protocol=protocol, since=as_of - PRESSURES_SHOWN)
    ratios = [one for one in profile.ratios if one.at >= since]
    return {
        "until": as_of.isoformat(),
        "flow": {
            "points": [
                _point(one.at, one.ml_min, one.low_ml_min, one.high_ml_min, "" if one.comparable else "not comparable")
                for one in profile.flows
                if one.at >= since
            ],
            "limits": _limits(protocol, [(f"flow.below.{profile.kind}", "")]),
        },
        "ratio": {
            "points": [_point(one.at, round(one.ratio, 4), mark=_LETTER[one.role]) for one in ratios],
            "limits": _limits(protocol, [(f"static.{profile.kind}.{role}.outlet", role) for role in _LETTER]),
            "formula": ratios[-1].formula if ratios else "",
        },
        "venous": venous,
        "arterial": arterial,
        "events": [{"on": one.on.isoformat(), "word": one.what} for one in profile.events if one.on >= since.date()],
    }


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


def _pressures(profile: AccessProfile, *, protocol: Protocol, since: datetime) -> tuple[dict[str, Any], dict[str, Any]]:
    """Both line pressures at the pump speed used most, one reading a treatment, each with its usual band."""
    found = bands(profile, protocol=protocol) if profile.dynamics else []
    return (
        _one_pressure(profile, quantity="venous_mmhg", found=found, since=since),
        _one_pressure(profile, quantity="pre_pump_arterial_mmhg", found=found, since=since),
    )


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


def charts(numbers: dict[str, Any], *, width: float, height: float | None = None) -> list[dict[str, Any]]:
    """Every chart that has a point, drawn: id, title, SVG, the newest value in words, and its twin as a table."""
    until = datetime.fromisoformat(numbers["until"])
    events = [EventMark(on=date.fromisoformat(one["on"]), word=one["word"]) for one in numbers["events"]]
    flow, ratio = numbers["flow"], numbers["ratio"]
    shared: dict[str, Any] = {"until": until, "events": events, "width": width, "height": height}
    found = []
    if flow["points"]:
        svg = draw.flow_chart(_points(flow), limits=_drawn_limits(flow), **shared)
        found.append(_chart("flow", "Access flow", svg, flow, unit="mL/min", decimals=0, events=events))
    if ratio["points"]:
        svg = draw.ratio_chart(_points(ratio), limits=_drawn_limits(ratio), **shared)
        title = f"Static pressure ratio ({ratio['formula']} height)"
        found.append(_chart("ratio", title, svg, ratio, unit="", decimals=2, events=events))
    if numbers["venous"]["points"] or numbers["arterial"]["points"]:
        found.append(_pressure_chart(numbers, shared=shared))
    return found


def _pressure_chart(numbers: dict[str, Any], *, shared: dict[str, Any]) -> dict[str, Any]:
    venous, arterial = numbers["venous"], numbers["arterial"]
    title = f"Line pressures at {venous['pump_ml_min'] or arterial['pump_ml_min']:.0f} mL/min"
    svg = draw.pressure_chart(
        venous=_points(venous),
        arterial=_points(arterial),
        venous_bands=_drawn_bands(venous),
        arterial_bands=_drawn_bands(arterial),
        title=title,
        **shared,
    )
    both = {"points": [{**one, "mark": "V"} for one in venous["points"]]}
    both["points"] += [{**one, "mark": "A"} for one in arterial["points"]]
    return _chart("pressures", title, svg, both, unit="mmHg", decimals=0, events=shared["events"])


def _chart(
    id_: str, title: str, svg: str, series: dict[str, Any], *, unit: str, decimals: int, events: Sequence[EventMark]
) -> dict[str, Any]:
    points = _points(series)
    table = table_of(points, unit=unit, decimals=decimals, events=events)
    newest = max((one for one in points if one.value is not None), key=lambda one: one.at)
    return {
        "id": id_,
        "title": title,
        "svg": svg,
        "newest": f"{newest.value:.{decimals}f} {unit}".strip(),
        "table": {"columns": list(table.headings), "rows": [list(row) for row in table.rows]},
    }


def _points(series: dict[str, Any]) -> list[ChartPoint]:
    return [
        ChartPoint(
            at=datetime.fromisoformat(one["at"]), value=one["value"], low=one["low"], high=one["high"], mark=one["mark"]
        )
        for one in series["points"]
    ]


def _drawn_limits(series: dict[str, Any]) -> list[Limit]:
    return [Limit(value=one["value"], name=one["name"]) for one in series["limits"]]


def _drawn_bands(series: dict[str, Any]) -> list[Band]:
    return [Band(low=one["low"], high=one["high"], name=one["name"]) for one in series["bands"]]


def spark(profile: AccessProfile, *, protocol: Protocol, as_of: datetime, rule: str) -> dict[str, Any] | None:
    """A small chart of the quantity that a rule looks at, or of the other one where it was not measured."""
    numbers = figures(profile, protocol=protocol, as_of=as_of)
    order = ("ratio", "flow") if rule.startswith(("outlet", "static")) else ("flow", "ratio")
    chosen = next((name for name in order if numbers[name]["points"]), None)
    if chosen is None:
        return None
    series, is_flow = numbers[chosen], chosen == "flow"
    unit, decimals = ("mL/min", 0) if is_flow else ("", 2)
    if not is_flow:  # One line of points: the venous needle sees the outlet.
        venous = [one for one in series["points"] if one["mark"] == "V"]
        series = series | {"points": venous or series["points"]}
    title = "Access flow" if is_flow else "Static pressure ratio"
    svg = draw.sparkline(
        _points(series), until=as_of, unit=unit, decimals=decimals, limits=_drawn_limits(series)[-1:], title=title
    )
    return _chart(chosen, title, svg, series, unit=unit, decimals=decimals, events=())


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
