"""The charts of an access, drawn from the numbers that ``figures`` took: each with its table, sentences and working.

The same numbers give the same pictures years later, also where they were frozen before there were levels, sentences
and workings. Nothing is computed here.
"""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from access.drawing import charts as draw
from access.drawing.series import Band, ChartPoint, EventMark, Level, Limit
from access.drawing.tables import table_of


def charts(numbers: dict[str, Any], *, width: float, height: float | None = None) -> list[dict[str, Any]]:
    """Every chart that has a point, drawn: id, title, SVG, its newest value in words, its twin as a table, what it says
    in sentences, and how it is worked out.

    Numbers that were frozen before there were levels, sentences and workings are drawn without them.
    """
    shared: dict[str, Any] = {
        "until": datetime.fromisoformat(numbers["until"]),
        "events": _drawn_events(numbers["events"]),
        "width": width,
        "height": height,
    }
    drawn = (_flow_chart, _ratio_chart, _pressure_chart, _derived_chart)
    return [found for one in drawn if (found := one(numbers, shared=shared)) is not None]


def _flow_chart(numbers: dict[str, Any], *, shared: dict[str, Any]) -> dict[str, Any] | None:
    flow = numbers["flow"]
    if not flow["points"]:
        return None
    svg = draw.flow_chart(_points(flow), level=_drawn_level(flow), limits=_drawn_limits(flow), **shared)
    return _chart("flow", "Access flow", svg, flow, unit="mL/min", decimals=0, events=shared["events"])


def _ratio_chart(numbers: dict[str, Any], *, shared: dict[str, Any]) -> dict[str, Any] | None:
    ratio = numbers["ratio"]
    if not ratio["points"]:
        return None
    title = f"Static pressure ratio ({ratio['formula']} height)"
    svg = draw.ratio_chart(_points(ratio), bands=_drawn_bands(ratio), limits=_drawn_limits(ratio), **shared)
    return _chart("ratio", title, svg, ratio, unit="", decimals=2, events=shared["events"])


def _derived_chart(numbers: dict[str, Any], *, shared: dict[str, Any]) -> dict[str, Any] | None:
    ratio = numbers.get("derived", {"points": []})
    if not ratio["points"]:
        return None
    title = "Derived static ratio, weekly medians"
    bands, limits = _drawn_bands(ratio), _drawn_limits(ratio)
    svg = draw.ratio_chart(_points(ratio), bands=bands, limits=limits, title=title, **shared)
    return _chart("derived", title, svg, ratio, unit="", decimals=2, events=shared["events"])


def _pressure_chart(numbers: dict[str, Any], *, shared: dict[str, Any]) -> dict[str, Any] | None:
    venous, arterial = numbers["venous"], numbers["arterial"]
    if not (venous["points"] or arterial["points"]):
        return None
    title = f"Line pressures at {venous['pump_ml_min'] or arterial['pump_ml_min']:.0f} mL/min"
    svg = draw.pressure_chart(
        venous=_points(venous),
        arterial=_points(arterial),
        venous_bands=_drawn_bands(venous),
        arterial_bands=_drawn_bands(arterial),
        title=title,
        **shared,
    )
    points = [{**one, "mark": "V"} for one in venous["points"]] + [{**one, "mark": "A"} for one in arterial["points"]]
    both = {"points": points, **numbers.get("pressures", {})}
    return _chart("pressures", title, svg, both, unit="mmHg", decimals=0, events=shared["events"])


def _chart(
    id_: str, title: str, svg: str, series: dict[str, Any], *, unit: str, decimals: int, events: Sequence[EventMark]
) -> dict[str, Any]:
    points = _points(series)
    table = table_of(points, unit=unit, decimals=decimals, events=events, level=_drawn_level(series))
    newest = max((one for one in points if one.value is not None), key=lambda one: one.at)
    return {
        "id": id_,
        "title": title,
        "svg": svg,
        "newest": f"{newest.value:.{decimals}f} {unit}".strip(),
        "table": {"columns": list(table.headings), "rows": [list(row) for row in table.rows]},
        "statements": list(series.get("statements", ())),
        "worked": series.get("worked"),
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
    return [
        Band(
            low=one["low"],
            high=one["high"],
            name=one["name"],
            mark=one.get("mark", ""),
            since=datetime.fromisoformat(one["since"]) if one.get("since") else None,
        )
        for one in series.get("bands", ())
    ]


def _drawn_level(series: dict[str, Any]) -> list[Level]:
    return [
        Level(at=datetime.fromisoformat(one["at"]), value=one["value"], low=one["low"], high=one["high"])
        for one in series.get("level", ())
    ]


def _drawn_events(events: Sequence[dict[str, Any]]) -> list[EventMark]:
    return [
        EventMark(on=date.fromisoformat(one["on"]), word=one["word"], breaks_level=one.get("breaks_level", False))
        for one in events
    ]


def small_chart(
    chosen: str, series: dict[str, Any], *, events: Sequence[dict[str, Any]], until: datetime
) -> dict[str, Any]:
    """The small chart of one quantity, ``flow`` or ``ratio``, for a list; events only break its level."""
    is_flow = chosen == "flow"
    unit, decimals = ("mL/min", 0) if is_flow else ("", 2)
    if not is_flow:  # One line of points: the venous needle sees the outlet.
        venous = [one for one in series["points"] if one["mark"] == "V"]
        series = series | {"points": venous or series["points"]}
    title = "Access flow" if is_flow else "Static pressure ratio"
    svg = draw.sparkline(
        _points(series),
        until=until,
        unit=unit,
        decimals=decimals,
        limits=_drawn_limits(series)[-1:],
        level=_drawn_level(series),
        events=_drawn_events(events),
        title=title,
    )
    return _chart(chosen, title, svg, series, unit=unit, decimals=decimals, events=())
