"""The things on a chart's plane: dots with their intervals, the level in its band, limits, bands, events.

Dots are measured, a solid line is estimated, a dashed line is a limit, a thin vertical is an event. Red and blue are
kept for the needles, which differ by shape and letter too.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from textwrap import wrap

from access.drawing.axes import SMALL, Plane
from access.drawing.callouts import spread
from access.drawing.ink import (
    BAND,
    EDGE,
    INK,
    NEEDLE,
    PAPER,
    SOFT,
    Markup,
    Tone,
    element,
    group,
    line,
    number,
    paint,
    polygon,
    polyline,
    text,
    words,
)
from access.drawing.series import Band, ChartPoint, EventMark, Level, Panel, day

TONE_OF_MARK = {"A": NEEDLE["arterial"], "V": NEEDLE["venous"]}
_RADIUS = 3.2
_ROW_PX, _MOST_ROWS = SMALL + 2, 3  # Of the words of events.


def level_line(plane: Plane, levels: Sequence[Level], *, events: Sequence[EventMark] = ()) -> Markup:
    """The estimated level as a line within its band, begun anew after an event that changes the vessel."""
    breaks = sorted(plane.start_of(each.on) for each in events if each.breaks_level)
    parts = []
    for _, stretch in groupby(levels, key=lambda each: bisect_right(breaks, each.at)):
        run = list(stretch)
        upper = [(plane.x(each.at), plane.y(each.high)) for each in run]
        lower = [(plane.x(each.at), plane.y(each.low)) for each in reversed(run)]
        middle = [(plane.x(each.at), plane.y(each.value)) for each in run]
        parts += [polygon([*upper, *lower], fill=BAND), polyline(middle, tone=INK, width=1.8)]
    return group(*parts)


def bands(plane: Plane, usual: Sequence[Band]) -> Markup:
    """Usual ranges as plain areas; their names stand in the key, and whose they are shows at the edges."""
    places = [(each, *_across(plane, each)) for each in usual]
    drawn = [(each, left, right) for each, left, right in places if right > left]
    areas = (
        element(
            "rect",
            x=left,
            y=plane.y(each.high),
            width=right - left,
            height=plane.y(each.low) - plane.y(each.high),
            **paint(fill=BAND),
        )
        for each, left, right in drawn
    )
    edges = (_edge(each, left, right, plane.y(end)) for each, left, right in drawn for end in (each.low, each.high))
    return group(*areas, *edges)


def _across(plane: Plane, usual: Band) -> tuple[float, float]:
    left = max(plane.x(usual.since), plane.left) if usual.since else plane.left
    return left, min(plane.x(usual.until), plane.right) if usual.until else plane.right


def _edge(usual: Band, left: float, right: float, y: float) -> Markup:
    """The edge of a needle's band, whole for the arterial and dotted for the venous one, so that two can overlap."""
    tone = TONE_OF_MARK.get(usual.mark)
    if tone is None:
        return group()
    return line(left, y, right, y, tone=tone, width=0.8, dash="1.5 2.5" if usual.mark == "V" else None)


def key(panel: Panel, *, x: float, y: float) -> Markup:
    """What the signs mean that are not named elsewhere: the usual band, what was not measured, hollow dots."""
    items: list[tuple[Markup, str]] = []
    for each in panel.bands:
        edge = None if each.mark else EDGE
        swatch = element("rect", x=0, y=-9, width=14, height=10, **paint(fill=BAND, stroke=edge, width=0.6))
        items.append((group(swatch, *(_edge(each, 0, 14, y) for y in (-9.0, 1.0))), each.name))
    hollow = sorted({each.mark for each in panel.points if each.mark and each.mark not in TONE_OF_MARK})
    items += [(_shape(7, -4, mark, INK, _RADIUS), mark) for mark in hollow]
    if any(each.value is None for each in panel.points):
        items.append((line(3, -4, 10, -4, tone=SOFT, width=1.6), "not measured"))
    parts = []
    for sign, name in items:
        said = words(name, x=18, y=0, size=SMALL, tone=SOFT)
        parts.append(group(sign, said, transform=f"translate({number(x)} {number(y)})"))
        x += 18 + len(name) * SMALL * 0.6 + 10
    return group(*parts)


def has_key(panel: Panel) -> bool:
    """Whether there is anything that a key must name."""
    plain = all(each.value is not None and each.mark in ("", *TONE_OF_MARK) for each in panel.points)
    return bool(panel.bands) or not plain


def dots(plane: Plane, points: Sequence[ChartPoint], *, radius: float = _RADIUS) -> Markup:
    """Each measured value with its interval; what was not taken stands as a short bar at the foot."""
    return group(*(_dot(plane, each, radius) for each in points if plane.since <= each.at <= plane.until))


def _dot(plane: Plane, point: ChartPoint, radius: float) -> Markup:
    x, tone = plane.x(point.at), TONE_OF_MARK.get(point.mark, INK)
    if point.value is None:
        return line(x - 3, plane.bottom - 4, x + 3, plane.bottom - 4, tone=SOFT, width=1.6)
    y = plane.y(point.value)
    parts = []
    if point.low is not None and point.high is not None and radius >= _RADIUS:
        parts.append(line(x, plane.y(point.low), x, plane.y(point.high), tone=tone, width=1))
    parts.append(_shape(x, y, point.mark, tone, radius))
    return group(*parts)


def _shape(x: float, y: float, mark: str, tone: Tone, radius: float) -> Markup:
    if mark == "V":
        side = radius * 1.8
        return element("rect", x=x - side / 2, y=y - side / 2, width=side, height=side, **paint(fill=tone))
    hollow = mark not in ("", "A")
    skin = paint(fill=PAPER, stroke=tone, width=1.3) if hollow else paint(fill=tone)
    return element("circle", cx=x, cy=y, r=radius, **skin)


def limit_lines(plane: Plane, panel: Panel, *, letters: int) -> Markup:
    """Dashed lines with their name at the end, in the margin, where a line of it holds so many letters."""
    lines = [
        line(plane.left, plane.y(each.value), plane.right, plane.y(each.value), tone=INK, width=1.1, dash="5 4")
        for each in panel.limits
    ]
    ordered = sorted(panel.limits, key=lambda each: -each.value)
    named = [wrap(each.name, letters) for each in ordered]
    row = SMALL * 1.1
    centres = spread(
        [plane.y(each.value) for each in ordered],
        heights=[len(rows) * row + 3 for rows in named],
        top=plane.top - row,
        bottom=plane.bottom + row,
    )
    names = [
        words(each, x=plane.right + 6, y=centre + 4 + (index - (len(rows) - 1) / 2) * row, size=SMALL)
        for rows, centre in zip(named, centres, strict=True)
        for index, each in enumerate(rows)
    ]
    return group(*lines, *names)


@dataclass(frozen=True, kw_only=True)
class _Word:
    """Where the word of an event stands: at its line, from ``left`` on, in a row; in none where there is no room."""

    event: EventMark
    x: float
    left: float
    row: int | None


def event_lines(plane: Plane, events: Sequence[EventMark], *, lane: float, room: float) -> Markup:
    """Thin verticals with their words above the plane, on rows so that near ones stay legible.

    The words stand at the right of their line as far as there is room, else at its left; one that fits in no row is
    left to the table.
    """
    parts = []
    for each in _words_of_events(plane, events, room=room):
        row, right = each.row or 0, each.left > each.x
        y = lane + SMALL + row * _ROW_PX
        parts.append(line(each.x, y - SMALL + 2, each.x, plane.bottom, tone=EDGE, width=1))
        if each.row is not None:
            x, anchor = (each.x + 3, "start") if right else (each.x - 3, "end")
            parts.append(words(each.event.word, x=x, y=y, size=SMALL, halo=3, anchor=anchor))
    return group(*parts)


def _words_of_events(plane: Plane, events: Sequence[EventMark], *, room: float) -> list[_Word]:
    found: list[_Word] = []
    free = [plane.left - 60.0] * _MOST_ROWS  # Up to where each row is taken.
    for each in sorted(events, key=lambda event: event.on):
        x = plane.x(plane.start_of(each.on))
        if not plane.left <= x <= plane.right:
            continue
        width = len(each.word) * SMALL * 0.6
        left = x + 3 if x + 3 + width <= room else x - 3 - width
        row = next((row for row, taken in enumerate(free) if left > taken), None)
        if row is not None:
            free[row] = left + width + 6
        found.append(_Word(event=each, x=x, left=left, row=row))
    return found


def rows_of_events(plane: Plane, events: Sequence[EventMark], *, room: float) -> int:
    """How many rows of words the events need above the plane."""
    return max((each.row + 1 for each in _words_of_events(plane, events, room=room) if each.row is not None), default=0)


def newest_values(panel: Panel, *, x: float, y: float, size: float = 15) -> Markup:
    """The newest value of each needle, or of all, written out with its day."""
    found = panel.newest_of_each()
    heading = f"{panel.heading}  " if panel.heading else ""
    runs = [element("tspan", text(heading), font_size=SMALL, **paint(fill=SOFT))] if heading else []
    if not found:
        runs.append(element("tspan", text("nothing measured"), font_size=SMALL, **paint(fill=SOFT)))
    for index, point in enumerate(found):
        letter = f"{point.mark} " if point.mark in TONE_OF_MARK else ""
        tone = TONE_OF_MARK.get(point.mark, INK)
        said = f"{letter}{panel.said(point.value or 0.0)}"
        runs.append(element("tspan", text(said), font_weight=700, font_size=size, **paint(fill=tone)))
        last = index == len(found) - 1
        if last or found[index + 1].at.date() != point.at.date():
            runs.append(element("tspan", text(day(point.at)), dx=6, font_size=SMALL, **paint(fill=SOFT)))
        if not last:
            runs.append(element("tspan", text(" "), font_size=size))
    return element("text", *runs, x=x, y=y)
