"""A figure's plane with numbers on both axes, and the signs on it: lines by dash, marks by shape, not by colour.

It knows no rule; what is drawn stands in ``pictures``.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from access.drawing.axes import value_ticks
from access.drawing.ink import (
    EDGE,
    HAIR,
    INK,
    PAPER,
    SOFT,
    Frame,
    Markup,
    drawing,
    element,
    group,
    line,
    paint,
    polyline,
    words,
)
from access.drawing.series import rounded

WIDTH, SMALL, SIZE = 760.0, 12.0, 13.0
LEFT, RIGHT, TOP, FOOT = 64.0, 16.0, 78.0, 66.0
DASHES: tuple[str | None, ...] = (None, "8 4", "2 3", "10 3 2 3", "5 2", "1 5")
SHAPES = ("circle", "square", "diamond", "triangle", "cross", "ring")
_LEGEND_ROW = 20.0


@dataclass(frozen=True, kw_only=True)
class Axis:
    """One axis: its words, the range it shows (its first and last tick) and how its numbers are written.

    Without words it bears no numbers: what stands on it is named there.
    """

    words: str
    ticks: tuple[float, ...]
    decimals: int = 0

    @property
    def low(self) -> float:
        """Where it begins."""
        return self.ticks[0]

    @property
    def high(self) -> float:
        """Where it ends."""
        return self.ticks[-1]


def axis(said: str, *, over: Sequence[float], at_most: int, decimals: int = 0) -> Axis:
    """An axis with round ticks that holds these numbers."""
    return Axis(words=said, ticks=tuple(value_ticks(min(over), max(over), at_most=at_most)), decimals=decimals)


@dataclass(frozen=True, kw_only=True)
class Plane:
    """The rectangle of a figure (px) that two axes span; ``names`` is the number of rows of its legend."""

    across: Axis
    up: Axis
    names: int
    height: float = 340.0

    @property
    def bottom(self) -> float:
        """Where the axis across lies."""
        return TOP + self.height

    @property
    def foot(self) -> float:
        """Where the legend begins."""
        return self.bottom + FOOT

    def x(self, value: float) -> float:
        """Where a number stands across."""
        share = (value - self.across.low) / (self.across.high - self.across.low)
        return LEFT + share * (WIDTH - LEFT - RIGHT)

    def y(self, value: float) -> float:
        """Where a number stands upward; what lies beyond an end stands at it."""
        share = (value - self.up.low) / (self.up.high - self.up.low)
        return self.bottom - min(max(share, 0.0), 1.0) * self.height

    def axes(self) -> Markup:
        """Both axes with their ticks and words."""
        across = [
            group(
                line(self.x(tick), self.bottom, self.x(tick), self.bottom + 4, tone=EDGE, width=1),
                words(
                    rounded(tick, self.across.decimals), x=self.x(tick), y=self.bottom + 18, size=SMALL, anchor="middle"
                ),
            )
            for tick in (self.across.ticks if self.across.words else ())
        ]
        up = [
            group(
                line(LEFT, self.y(tick), WIDTH - RIGHT, self.y(tick), tone=HAIR, width=1),
                words(rounded(tick, self.up.decimals), x=LEFT - 8, y=self.y(tick) + 4, size=SMALL, anchor="end"),
            )
            for tick in self.up.ticks
        ]
        base = line(LEFT, self.bottom, WIDTH - RIGHT, self.bottom, tone=EDGE, width=1)
        middle = (LEFT + WIDTH - RIGHT) / 2
        named = words(self.across.words, x=middle, y=self.bottom + 38, size=SIZE, anchor="middle")
        return group(*up, *across, base, named, words(self.up.words, x=LEFT - 48, y=TOP - 14, size=SIZE))

    def path(self, points: Sequence[tuple[float, float]], *, number: int, width: float = 1.8) -> Markup:
        """A line through points, dashed by its number, with its mark at each of them."""
        at = [(self.x(across), self.y(up)) for across, up in points]
        return group(
            polyline(at, tone=INK, width=width, dash=DASHES[number % len(DASHES)]),
            *(mark(x, y, shape=SHAPES[number % len(SHAPES)]) for x, y in at),
        )

    def named(self, number: int, *, row: int, said: str) -> Markup:
        """One row of the legend: the line with its mark, and its name."""
        y = self.foot + row * _LEGEND_ROW
        sample = [(LEFT, y), (LEFT + 44, y)]
        return group(
            polyline(sample, tone=INK, width=1.8, dash=DASHES[number % len(DASHES)]),
            mark(LEFT + 22, y, shape=SHAPES[number % len(SHAPES)]),
            words(said, x=LEFT + 56, y=y + 4, size=SIZE),
        )

    def note(self, said: str, *, row: int) -> Markup:
        """A row of words under the legend."""
        return words(said, x=LEFT, y=self.foot + row * _LEGEND_ROW + 4, size=SMALL, tone=SOFT)

    def whole(self, *parts: Markup, title: str, under: str, description: str) -> str:
        """The figure with its title, what it rests on, and its description."""
        height = self.foot + self.names * _LEGEND_ROW + 6
        frame = Frame(left=0, top=0, width=WIDTH, height=height, shown_px=WIDTH)
        ground = element("rect", x=0, y=0, width=WIDTH, height=height, **paint(fill=PAPER))
        heading = words(title, x=LEFT - 48, y=26, size=17, bold=True)
        below = words(under, x=LEFT - 48, y=46, size=SMALL, tone=SOFT)
        return drawing(
            frame, ground, heading, below, self.axes(), *parts, kind="chart", title=title, description=description
        )


def mark(x: float, y: float, *, shape: str, size: float = 4.2, filled: bool = True) -> Markup:
    """One mark; a ring and what is not filled are hollow."""
    skin = paint(fill=INK) if filled and shape != "ring" else paint(fill=PAPER, stroke=INK, width=1.5)
    if shape in ("circle", "ring"):
        return element("circle", cx=x, cy=y, r=size, **skin)
    if shape == "square":
        return element("rect", x=x - size, y=y - size, width=2 * size, height=2 * size, **skin)
    if shape == "cross":
        strokes = ((-size, -size, size, size), (-size, size, size, -size))
        return group(*(line(x + a, y + b, x + c, y + d, tone=INK, width=1.8) for a, b, c, d in strokes))
    far = size * 1.3
    corners = [(0, -far), (far, 0), (0, far), (-far, 0)] if shape == "diamond" else [(0, -far), (far, far), (-far, far)]
    path = "M" + "L".join(f"{x + across:.2f} {y + up:.2f}" for across, up in corners) + "z"
    return element("path", d=path, **skin)
