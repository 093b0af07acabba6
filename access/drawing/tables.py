"""The twin of a chart as a table and as a sentence, for screen readers, for print and for who prefers numbers.

The same points as on the chart, newest first; numbers at the precision at which the chart shows them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from access.drawing.series import ChartPoint, EventMark, Level, Panel, day, rounded

NOT_MEASURED = "not measured"
_NEEDLES = {"A": "arterial", "V": "venous"}


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows of words, each as long as the headings."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def table_of(
    points: Sequence[ChartPoint],
    *,
    unit: str,
    decimals: int = 0,
    events: Sequence[EventMark] = (),
    level: Sequence[Level] = (),
) -> Table:
    """The rows of a chart, newest first, with the events between them; a column of the level where there is one."""
    value_heading = f"value ({unit})" if unit else "value"
    levels = {each.at: f"{rounded(each.value, decimals)} ({_ends(each.low, each.high, decimals)})" for each in level}
    estimated = [levels.get(each.at, "") for each in points]
    rows = [
        (each.at.date(), (*_row(each, decimals), *([said] if levels else []), _remark(each)))
        for each, said in zip(points, estimated, strict=True)
    ]
    blank = ("",) * (3 if levels else 2)
    rows += [(each.on, (day(each.on), *blank, each.word)) for each in events]
    rows.sort(key=lambda row: row[0], reverse=True)
    headings = ("day", value_heading, "interval", *(["level (90 % interval)"] if levels else []), "remark")
    return Table(headings=headings, rows=tuple(row for _, row in rows))


def _row(point: ChartPoint, decimals: int) -> tuple[str, ...]:
    value = NOT_MEASURED if point.value is None else rounded(point.value, decimals)
    known = point.low is not None and point.high is not None
    return day(point.at), value, _ends(point.low or 0.0, point.high or 0.0, decimals) if known else ""


def _ends(low: float, high: float, decimals: int) -> str:
    return f"{rounded(low, decimals)} to {rounded(high, decimals)}"


def _remark(point: ChartPoint) -> str:
    return _NEEDLES.get(point.mark, point.mark)


def in_words(panels: Sequence[Panel], *, events: Sequence[EventMark], until: datetime) -> str:
    """A chart in sentences: how many were measured and when, the newest, the limits, the events."""
    sentences = [sentence for panel in panels for sentence in _panel_in_words(panel)]
    if events:
        named = ", ".join(f"{each.word} {day(each.on)}" for each in sorted(events, key=lambda event: event.on))
        sentences.append(f"Events: {named}.")
    return " ".join([*sentences, f"Until {day(until)}."])


def _panel_in_words(panel: Panel) -> list[str]:
    known = [each for each in panel.points if each.value is not None]
    heading = f"{panel.heading}: ".capitalize() if panel.heading else ""
    if not known:
        return [f"{heading}nothing measured.".capitalize()]
    sentences = [f"{heading}{len(known)} measured since {day(min(each.at for each in known))}."]
    for point in panel.newest_of_each():
        whose = f"{_NEEDLES[point.mark]} " if point.mark in _NEEDLES else ""
        sentences.append(f"Newest {whose}value {panel.said(point.value or 0.0)} on {day(point.at)}.")
    odd = [each for each in known if each.mark and each.mark not in _NEEDLES]
    sentences += [f"{each.mark.capitalize()}: {panel.said(each.value or 0.0)} on {day(each.at)}." for each in odd]
    if panel.level:
        last = panel.level[-1]
        ends = _ends(last.low, last.high, panel.decimals)
        sentences.append(f"Estimated level {panel.said(last.value)} (90 % interval {ends}) on {day(last.at)}.")
    if len(known) < len(panel.points):
        sentences.append(f"Due and not measured: {len(panel.points) - len(known)}.")
    sentences += [f"Limit {panel.said(each.value)}: {each.name}." for each in panel.limits]
    sentences += [f"{each.name}: {panel.said(each.low)} to {panel.said(each.high)}." for each in panel.bands]
    return sentences
