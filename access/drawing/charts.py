"""The charts of an access as SVG: flow, pressure ratio, line pressures, findings, and a small one for a list.

Each takes what to show and the width at which it is shown; none computes a level, a limit or a finding. The twin of
a chart as a table is made by tables.table_of from the same points.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from access.drawing.axes import SMALL, Plane, time_axis, value_axis, value_ticks
from access.drawing.ink import HAIR, INK, SOFT, Frame, Markup, drawing, group, line, window, words
from access.drawing.plot import (
    bands,
    dots,
    event_lines,
    has_key,
    key,
    level_line,
    limit_lines,
    newest_values,
    rows_of_events,
)
from access.drawing.series import Band, ChartPoint, EventMark, Level, Limit, Panel
from access.drawing.tables import in_words

_LEFT_PX, _EDGE_PX, _FOOT_PX = 44.0, 10.0, 24.0
_MARGIN_PX, _NARROW_MARGIN_PX = 128.0, 92.0  # Where the limits are named.
_WIDE_PX = 560.0


def flow_chart(
    points: Sequence[ChartPoint],
    *,
    until: datetime,
    since: datetime | None = None,
    level: Sequence[Level] = (),
    limits: Sequence[Limit] = (),
    events: Sequence[EventMark] = (),
    width: float = 720,
    height: float | None = None,
    title: str = "Access flow",
) -> str:
    """Access flow over time (mL/min) with its intervals, the estimated level, limits and events."""
    panel = Panel(points=points, unit="mL/min", level=level, limits=limits)
    return _chart([panel], until=until, since=since, events=events, width=width, height=height, title=title)


def ratio_chart(
    points: Sequence[ChartPoint],
    *,
    until: datetime,
    since: datetime | None = None,
    bands: Sequence[Band] = (),
    limits: Sequence[Limit] = (),
    events: Sequence[EventMark] = (),
    width: float = 720,
    height: float | None = None,
    title: str = "Static pressure ratio",
) -> str:
    """Pressure ratio of the arterial and the venous needle over time (no unit) with usual bands; marks are A and V."""
    panel = Panel(points=points, unit="", decimals=2, limits=limits, bands=bands)
    return _chart([panel], until=until, since=since, events=events, width=width, height=height, title=title)


def pressure_chart(
    *,
    venous: Sequence[ChartPoint],
    arterial: Sequence[ChartPoint],
    until: datetime,
    since: datetime | None = None,
    venous_bands: Sequence[Band] = (),
    arterial_bands: Sequence[Band] = (),
    venous_limits: Sequence[Limit] = (),
    arterial_limits: Sequence[Limit] = (),
    events: Sequence[EventMark] = (),
    width: float = 720,
    height: float | None = None,
    title: str = "Line pressures with the pump running",
) -> str:
    """Venous pressure above, arterial pressure before the pump below (mmHg), each with its usual band."""
    panels = [
        # Not from zero: what matters is how a pressure lies to its own band.
        Panel(
            points=_of("V", venous),
            unit="mmHg",
            limits=venous_limits,
            bands=venous_bands,
            from_zero=False,
            heading="venous",
        ),
        Panel(
            points=_of("A", arterial),
            unit="mmHg",
            limits=arterial_limits,
            bands=arterial_bands,
            from_zero=False,
            heading="arterial, before the pump",
        ),
    ]
    return _chart(panels, until=until, since=since, events=events, width=width, height=height, title=title)


def _of(letter: str, points: Sequence[ChartPoint]) -> list[ChartPoint]:
    return [replace(each, mark=each.mark or letter) for each in points]


def sparkline(
    points: Sequence[ChartPoint],
    *,
    until: datetime,
    since: datetime | None = None,
    unit: str,
    decimals: int = 0,
    limits: Sequence[Limit] = (),
    level: Sequence[Level] = (),
    events: Sequence[EventMark] = (),
    width: float = 160,
    height: float = 40,
    title: str,
) -> str:
    """A small chart for a list: dots, level (broken at events), dashed limits, and the newest value at the right."""
    bare = [replace(each, low=None, high=None) for each in points]  # No room for intervals.
    panel = Panel(points=bare, unit=unit, decimals=decimals, limits=limits, level=level, from_zero=False)
    begin = since or _first([panel], until)
    plane, _ = _plane(panel, left=2, right=width - 46, top=4, bottom=height - 4, since=begin, until=until)
    newest = panel.newest()
    said = panel.said(newest.value).removesuffix(unit).strip() if newest and newest.value is not None else "none"
    frame = Frame(left=0, top=0, width=width, height=height, shown_px=width)
    limits_drawn = (
        line(plane.left, plane.y(each.value), plane.right, plane.y(each.value), tone=INK, width=0.9, dash="3 3")
        for each in limits
    )
    return drawing(
        frame,
        level_line(plane, level, events=events),
        *limits_drawn,
        line(plane.left, plane.bottom + 2, plane.right, plane.bottom + 2, tone=HAIR, width=1),
        dots(plane, bare, radius=1.9),
        words(said, x=width - 40, y=height / 2 + 1, size=14, bold=True),
        words(unit if newest else "measured", x=width - 40, y=height / 2 + 13, size=10, tone=SOFT),
        kind="spark",
        title=title,
        description=in_words([panel], events=(), until=until),
    )


def _chart(
    panels: Sequence[Panel],
    *,
    until: datetime,
    since: datetime | None,
    events: Sequence[EventMark],
    width: float,
    height: float | None,
    title: str,
) -> str:
    """Panels under each other on one time axis, each with its newest value written above it."""
    margin, letters = (_MARGIN_PX, 17) if width >= _WIDE_PX else (_NARROW_MARGIN_PX, 12)
    right = width - (margin if any(panel.limits for panel in panels) else _EDGE_PX)
    begin = since or _first(panels, until)
    tall = height or (150.0 if len(panels) > 1 else 190.0 if width < _WIDE_PX else 220.0) * len(panels) + 40
    each = (tall - _FOOT_PX) / len(panels)
    parts = [
        _panel(
            panel,
            top=index * each,
            bottom=(index + 1) * each,
            right=right,
            room=width,
            letters=letters,
            since=begin,
            until=until,
            events=events,
            last=index == len(panels) - 1,
        )
        for index, panel in enumerate(panels)
    ]
    frame = Frame(left=0, top=0, width=width, height=tall, shown_px=width)
    description = in_words(panels, events=events, until=until)
    return drawing(frame, *parts, kind="chart", title=title, description=description)


def _panel(
    panel: Panel,
    *,
    top: float,
    bottom: float,
    right: float,
    room: float,
    letters: int,
    since: datetime,
    until: datetime,
    events: Sequence[EventMark],
    last: bool,
) -> Markup:
    heading = top + 18
    lane = heading + (26 if has_key(panel) else 8)
    plane, ticks = _plane(panel, left=_LEFT_PX, right=right, top=lane, bottom=bottom - 6, since=since, until=until)
    plane = replace(plane, top=lane + 6 + rows_of_events(plane, events, room=room) * (SMALL + 2))
    return group(
        newest_values(panel, x=2, y=heading),
        key(panel, x=2, y=heading + 18),
        bands(plane, panel.bands),
        value_axis(plane, ticks, decimals=panel.decimals),
        _within(plane, level_line(plane, panel.level, events=events)),
        event_lines(plane, events, lane=lane, room=room),
        limit_lines(plane, panel, letters=letters),
        dots(plane, panel.points),
        time_axis(plane) if last else group(),
    )


def _within(plane: Plane, drawn: Markup) -> Markup:
    """Only what lies on the plane; nothing where there is nothing, so that no empty cut is written."""
    width, height = plane.right - plane.left, plane.bottom - plane.top
    frame = Frame(left=plane.left, top=plane.top, width=width, height=height, shown_px=width)
    return window(frame, drawn) if drawn != group() else drawn


def _plane(
    panel: Panel, *, left: float, right: float, top: float, bottom: float, since: datetime, until: datetime
) -> tuple[Plane, list[float]]:
    """The plane that holds the whole panel, and the round values on it."""
    low, high = panel.reach() or (0.0, 1.0)
    if panel.from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    ticks = value_ticks(low, high, at_most=max(int((bottom - top) / 34), 2))
    plane = Plane(
        left=left, right=right, top=top, bottom=bottom, since=since, until=until, low=ticks[0], high=ticks[-1]
    )
    return plane, ticks


def _first(panels: Sequence[Panel], until: datetime) -> datetime:
    """The first time on the chart, a little before the first point; a year back when there is none."""
    times = [point.at for panel in panels for point in panel.points]
    begin = min(times, default=until - timedelta(days=365))
    return min(begin, until - timedelta(days=14)) - (until - begin) * 0.03
