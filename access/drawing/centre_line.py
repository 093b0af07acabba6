"""Centimetres along a drawn vessel, and back from a point of the drawing to centimetres.

The centre line is sampled once into a table of arc lengths; both directions look up that table. The page does the
same in frontend/data/centre-line.ts, and both are tested on fixtures/arithmetic/centre-lines.json. Nothing is
drawn here, and whether a place suits a needle is decided elsewhere.
"""

from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import hypot, isfinite

from access.drawing.geometry import Geometry, geometries
from access.measures import Refused
from access.measures.words import Configuration, Side

# With 256 steps a cubic a place is within 0.005 mm of the integrated curve on every drawing; a test holds it so.
STEPS = 256


@dataclass(frozen=True, kw_only=True)
class Point:
    """A place in the plane of the drawing, y downward."""

    x: float
    y: float


@dataclass(frozen=True, kw_only=True)
class Place:
    """A place on the vessel: cm from the arterial anastomosis, and cm across, positive towards the thumb."""

    along_cm: float
    across_cm: float


@dataclass(frozen=True, kw_only=True)
class CentreLine:
    """A centre line as a table, scaled so that ``length_cm`` of this patient covers the whole drawn path."""

    length_cm: float
    xs: tuple[float, ...]
    ys: tuple[float, ...]
    lengths: tuple[float, ...]
    thumb: int  # +1 where the thumb is at the right of the drawing (left arm), -1 at its left.

    @property
    def units_per_cm(self) -> float:
        """Units of the drawing per cm of this patient's vessel."""
        return self.lengths[-1] / self.length_cm

    def point_at(self, along_cm: float, *, across_cm: float = 0.0) -> Point:
        """The point at this place (drawing units).

        Raises
        ------
        Refused
            When ``along_cm`` lies outside 0 to ``length_cm``.
        """
        if not 0.0 <= along_cm <= self.length_cm:
            raise Refused(
                f"{along_cm:g} cm is not on this vessel, which is {self.length_cm:g} cm long.", field="along_cm"
            )
        at, part = self._look_up(along_cm)
        normal = self._towards_thumb(at)
        shift = across_cm * self.units_per_cm
        return Point(
            x=self.xs[at] + part * (self.xs[at + 1] - self.xs[at]) + shift * normal.x,
            y=self.ys[at] + part * (self.ys[at + 1] - self.ys[at]) + shift * normal.y,
        )

    def outward_at(self, along_cm: float) -> Point:
        """The unit normal at the right hand of the blood on a left arm: thumb side of a line, outside of a loop."""
        direction = self.direction_at(along_cm)
        return Point(x=-self.thumb * direction.y, y=self.thumb * direction.x)

    def direction_at(self, along_cm: float) -> Point:
        """The unit vector in which the blood flows at this place."""
        at, _ = self._look_up(along_cm)
        dx, dy = self.xs[at + 1] - self.xs[at], self.ys[at + 1] - self.ys[at]
        step = hypot(dx, dy)
        return Point(x=dx / step, y=dy / step)

    def nearest(self, x: float, y: float) -> Place:
        """The place on the vessel nearest to a point of the drawing, such as a tap (cm)."""
        best, at, part = min(
            (self._distance_to(index, x, y) for index in range(len(self.xs) - 1)), key=lambda found: found[0]
        )
        along = self.lengths[at] + part * (self.lengths[at + 1] - self.lengths[at])
        normal = self._towards_thumb(at)
        foot_x = self.xs[at] + part * (self.xs[at + 1] - self.xs[at])
        foot_y = self.ys[at] + part * (self.ys[at + 1] - self.ys[at])
        sign = 1.0 if (x - foot_x) * normal.x + (y - foot_y) * normal.y >= 0 else -1.0
        return Place(along_cm=along / self.units_per_cm, across_cm=sign * best**0.5 / self.units_per_cm)

    def _look_up(self, along_cm: float) -> tuple[int, float]:
        """The step that holds this length, and how far into it."""
        wanted = along_cm * self.units_per_cm
        at = min(max(bisect_right(self.lengths, wanted) - 1, 0), len(self.lengths) - 2)
        return at, (wanted - self.lengths[at]) / (self.lengths[at + 1] - self.lengths[at])

    def _towards_thumb(self, at: int) -> Point:
        """The unit normal of a step on the thumb's side; where the vessel runs straight across, its right hand."""
        dx, dy = self.xs[at + 1] - self.xs[at], self.ys[at + 1] - self.ys[at]
        step = hypot(dx, dy)
        sign = -1 if -dy * self.thumb < 0 else 1
        return Point(x=-dy / step * sign, y=dx / step * sign)

    def _distance_to(self, at: int, x: float, y: float) -> tuple[float, int, float]:
        """The squared distance to a step of the table, the step, and how far into it the foot lies."""
        dx, dy = self.xs[at + 1] - self.xs[at], self.ys[at + 1] - self.ys[at]
        part = ((x - self.xs[at]) * dx + (y - self.ys[at]) * dy) / (dx * dx + dy * dy)
        part = min(max(part, 0.0), 1.0)
        off_x, off_y = x - self.xs[at] - part * dx, y - self.ys[at] - part * dy
        return off_x * off_x + off_y * off_y, at, part


def centre_line(configuration: Configuration, *, side: Side, length_cm: float | None = None) -> CentreLine:
    """The centre line of one patient's access in the plane of its drawing.

    Parameters
    ----------
    configuration
        The kind of access, which has the drawing.
    side
        The side of the patient; the right is the mirror image.
    length_cm
        Length of this patient's vessel along its course from the arterial anastomosis (cm); where it is not known,
        the length at which the drawing is to scale.

    Raises
    ------
    Refused
        When the length is not a positive number.
    """
    geometry = geometries()[configuration]
    length = geometry.usual_length_cm if length_cm is None else length_cm
    if not (isfinite(length) and length > 0):
        raise Refused(f"A vessel of {length:g} cm cannot be drawn.", field="length_cm")
    xs, ys, lengths = _table(configuration)
    if side == "left":
        return CentreLine(length_cm=length, xs=xs, ys=ys, lengths=lengths, thumb=1)
    mirrored = tuple(geometry.right_edge - x for x in xs)
    return CentreLine(length_cm=length, xs=mirrored, ys=ys, lengths=lengths, thumb=-1)


@cache
def _table(configuration: Configuration) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """The sampled points of a left arm and the length of the path up to each."""
    points = _sampled(geometries()[configuration])
    lengths = [0.0]
    for (x0, y0), (x1, y1) in pairwise(points):
        lengths.append(lengths[-1] + hypot(x1 - x0, y1 - y0))
    return tuple(x for x, _ in points), tuple(y for _, y in points), tuple(lengths)


def _sampled(geometry: Geometry) -> list[tuple[float, float]]:
    start, *segments = geometry.centre
    points = [(start[0], start[1])]
    for x1, y1, x2, y2, x3, y3 in segments:
        x0, y0 = points[-1]
        for step in range(1, STEPS + 1):
            t = step / STEPS
            a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
            points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
    return points
