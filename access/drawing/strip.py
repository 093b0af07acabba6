"""Findings over time as a strip: a row for each sign, a tick where it was normal, a diamond where it was odd.

A gap is an examination in which the sign was not looked at; it is left empty, never counted as normal.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

from access.drawing.axes import SMALL, Plane, time_axis
from access.drawing.ink import EDGE, HAIR, INK, SOFT, Frame, Markup, drawing, element, group, line, paint, words
from access.drawing.series import FindingMark, day

_ROW_PX, _LABEL_PX, _FOOT_PX, _EDGE_PX = 32.0, 118.0, 24.0, 10.0


def findings_strip(
    marks: Sequence[FindingMark],
    *,
    until: datetime,
    since: datetime | None = None,
    width: float = 720,
    title: str = "Findings over time",
) -> str:
    """The signs in the order in which they first come, each with its newest reading in words."""
    signs = list(dict.fromkeys(each.sign for each in marks))
    begin = since or min([*(each.at for each in marks), until - timedelta(days=14)]) - timedelta(days=1)
    foot = max(len(signs), 1) * _ROW_PX + 4
    plane = Plane(left=_LABEL_PX, right=width - _EDGE_PX, top=0, bottom=foot, since=begin, until=until, low=0, high=1)
    rows = [
        _row(plane, [each for each in marks if each.sign == sign], middle=(index + 0.5) * _ROW_PX)
        for index, sign in enumerate(signs)
    ]
    if not rows:
        rows = [words("no examination recorded", x=_LABEL_PX, y=_ROW_PX / 2 + 4, size=SMALL, tone=SOFT)]
    frame = Frame(left=0, top=0, width=width, height=foot + _FOOT_PX, shown_px=width)
    return drawing(frame, *rows, time_axis(plane), kind="chart", title=title, description=_in_words(marks, signs))


def _row(plane: Plane, marks: Sequence[FindingMark], *, middle: float) -> Markup:
    newest = max(marks, key=lambda each: each.at)
    shown = [each for each in marks if plane.since <= each.at <= plane.until]
    return group(
        words(newest.sign, x=0, y=middle - 2, size=SMALL + 1),
        words(newest.reading, x=0, y=middle + 11, size=SMALL - 1, tone=INK if newest.odd else SOFT, bold=newest.odd),
        line(plane.left, middle, plane.right, middle, tone=HAIR, width=1),
        *(_mark(plane.x(each.at), middle, odd=each.odd) for each in sorted(shown, key=lambda each: each.odd)),
    )


def _mark(x: float, y: float, *, odd: bool) -> Markup:
    if not odd:
        return line(x, y - 4, x, y + 4, tone=EDGE, width=1)
    return element("path", d=f"M{x:.2f} {y - 6:.2f}l5 6l-5 6l-5-6z", **paint(fill=INK))


def _in_words(marks: Sequence[FindingMark], signs: Sequence[str]) -> str:
    sentences = []
    for sign in signs:
        of_sign = [each for each in marks if each.sign == sign]
        odd = [each for each in of_sign if each.odd]
        newest = max(of_sign, key=lambda each: each.at)
        sentences.append(
            f"{sign.capitalize()}: odd in {len(odd)} of {len(of_sign)}, newest {newest.reading} on {day(newest.at)}."
        )
    return " ".join(sentences) or "No examination recorded."
