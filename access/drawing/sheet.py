"""The sheet that a map is drawn on: the limb, the vessel, its words and the part of it that is shown.

Shapes of a right arm are mirrored as a group; words are placed, never mirrored. What is marked on the vessel is
in overlays.
"""

from dataclasses import dataclass
from typing import Literal

from access.drawing.centre_line import CentreLine, Point, centre_line
from access.drawing.geometry import Anchor, Geometry, Landmark, geometries
from access.drawing.ink import (
    EDGE,
    INK,
    LIMB,
    LIMB_EDGE,
    PAPER,
    SOFT,
    VESSEL,
    Frame,
    Markup,
    Tone,
    element,
    group,
    number,
    paint,
    polyline,
    words,
)
from access.measures.words import Configuration, Side

View = Literal["whole", "needled"]
# The limbs are drawn at this scale; a patient's own cm follow from the length of the vessel.
UNITS_PER_DRAWN_CM = 16.0
HEADING_PX = 42.0
_ENDS: dict[Anchor, Anchor] = {"start": "end", "middle": "middle", "end": "start"}
# Where only a part is shown, these words move to its edge; the others are left out with their place.
_ALWAYS = frozenset({"shoulder", "hand", "thumb side"})


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One patient's vessel on its drawing."""

    geometry: Geometry
    side: Side
    line: CentreLine
    frame: Frame  # The shown part of the limb, without the heading above it.

    @property
    def half_width(self) -> float:
        """Half the drawn width of the vessel (drawing units)."""
        return self.geometry.width_cm * UNITS_PER_DRAWN_CM / 2

    @property
    def unit(self) -> float:
        """One CSS pixel at the intended width (drawing units)."""
        return self.frame.unit

    @property
    def whole(self) -> Frame:
        """The shown part with the heading above it."""
        above, frame = HEADING_PX * self.unit, self.frame
        return Frame(
            left=frame.left,
            top=frame.top - above,
            width=frame.width,
            height=frame.height + above,
            shown_px=frame.shown_px,
        )

    def x(self, left_arm_x: float) -> float:
        """A horizontal place of the left arm's drawing on this sheet."""
        return left_arm_x if self.side == "left" else self.geometry.right_edge - left_arm_x

    def anchor(self, left_arm_anchor: Anchor) -> Anchor:
        """How words hang at their place on this sheet."""
        return left_arm_anchor if self.side == "left" else _ENDS[left_arm_anchor]

    def beside(self, along_cm: float, *, outward: float) -> Point:
        """A point off the centre line (drawing units), outward positive."""
        on, normal = self.line.point_at(along_cm), self.line.outward_at(along_cm)
        return Point(x=on.x + outward * normal.x, y=on.y + outward * normal.y)

    def column(self, *, right: bool) -> float:
        """Where the labels at one side of the drawing begin."""
        as_left = right if self.side == "left" else not right
        return self.x(self.geometry.callout_right if as_left else self.geometry.callout_left)


def sheet(
    configuration: Configuration,
    *,
    side: Side,
    length_cm: float | None,
    needled: tuple[float, float] | None,
    view: View,
    width_px: float,
) -> Sheet:
    """The sheet of one patient, cropped to the needled stretch where that is asked for."""
    geometry = geometries()[configuration]
    if length_cm is None and needled:  # A vessel of unknown length is at least as long as it is needled.
        length_cm = max(geometry.usual_length_cm, needled[1])
    line = centre_line(configuration, side=side, length_cm=length_cm)
    left, top, width, height = geometry.view_box
    if view == "needled":
        first, last = needled or (0.0, line.length_cm)
        steps = [first + (last - first) * index / 40 for index in range(41)]
        ys = [line.point_at(min(max(step, 0.0), line.length_cm)).y for step in steps]
        above, below = min(ys) - 4 * UNITS_PER_DRAWN_CM, max(ys) + 3 * UNITS_PER_DRAWN_CM
        top, height = max(above, top), min(below, top + height) - max(above, top)
    frame = Frame(left=left, top=top, width=width, height=height, shown_px=width_px)
    return Sheet(geometry=geometry, side=side, line=line, frame=frame)


def background(on: Sheet) -> Markup:
    """The limb, the vessels that lead to and from the access, and the access itself."""
    turn = None if on.side == "left" else f"translate({number(on.geometry.right_edge)} 0) scale(-1 1)"
    limb = on.geometry.limb
    shapes: list[Markup] = []
    if limb:
        shapes.append(element("path", d=limb.outline, **paint(fill=LIMB, stroke=LIMB_EDGE, width=1.5)))
        shapes += [
            element("path", d=each, stroke_linecap="round", opacity=0.55, **paint(stroke=LIMB_EDGE, width=1))
            for each in limb.details
        ]
    for native in on.geometry.native:
        if native.kind == "artery":
            shapes.append(element("path", d=native.path, stroke_dasharray="6 4", **paint(stroke=EDGE, width=1.6)))
        else:
            shapes.append(element("path", d=native.path, **paint(stroke=EDGE, width=8)))
            shapes.append(element("path", d=native.path, **paint(stroke=LIMB, width=5.6)))
    return group(*shapes, *_vessel(on), transform=turn)


def _vessel(on: Sheet) -> list[Markup]:
    start, *segments = on.geometry.centre
    path = f"M{number(start[0])} {number(start[1])}" + "".join(
        "C" + " ".join(number(value) for value in segment) for segment in segments
    )
    width = 2 * on.half_width
    layers = [(INK, width + 2.4), (VESSEL, width)]
    if on.geometry.wall == "graft":  # A graft has a wall of even thickness: two lines at each side.
        layers = [(INK, width + 2.4), (PAPER, width), (INK, width - 3.2), (VESSEL, width - 4.8)]
    return [element("path", d=path, **paint(stroke=tone, width=each)) for tone, each in layers]


def flow_arrows(on: Sheet) -> Markup:
    """Small open arrows within the vessel, each pointing where the blood flows."""
    count = max(round(on.line.lengths[-1] / (5 * UNITS_PER_DRAWN_CM)), 2)
    reach = on.half_width * 0.5
    arrows = []
    for index in range(count):
        tip = on.line.length_cm * (index + 0.5) / count
        at, way, out = on.line.point_at(tip), on.line.direction_at(tip), on.line.outward_at(tip)
        wings = [
            (at.x - reach * way.x + hand * reach * out.x, at.y - reach * way.y + hand * reach * out.y)
            for hand in (1, -1)
        ]
        arrows.append(polyline([wings[0], (at.x, at.y), wings[1]], tone=INK, width=1.1))
    return group(*arrows)


def heading(on: Sheet) -> Markup:
    """Whose limb it is and how it is seen, above the drawing."""
    unit, frame = on.unit, on.whole
    middle = frame.left + frame.width / 2
    seen = on.geometry.limb.seen if on.geometry.limb else on.geometry.caution
    return group(
        words(
            on.geometry.whose(on.side), x=middle, y=frame.top + 16 * unit, size=16 * unit, anchor="middle", bold=True
        ),
        words(seen, x=middle, y=frame.top + 33 * unit, size=12 * unit, tone=SOFT, anchor="middle"),
    )


def landmarks(on: Sheet) -> Markup:
    """The words beside the drawing that lie within the shown part."""
    soft = [*on.geometry.landmarks, *(each.name for each in on.geometry.native)]
    shown = [_landmark(on, each, tone=SOFT) for each in soft]
    shown += [_landmark(on, each.name, tone=INK) for each in on.geometry.anastomoses]
    return group(*shown)


def _landmark(on: Sheet, landmark: Landmark, *, tone: Tone) -> Markup:
    size = 12 * on.unit
    highest, lowest = on.frame.top + size * 1.9, on.frame.top + on.frame.height - size * 1.7
    within = highest - size * 0.5 <= landmark.y <= lowest
    if not within and landmark.words not in _ALWAYS:
        return group()
    x, y, anchor = on.x(landmark.x), min(max(landmark.y, highest), lowest), on.anchor(landmark.anchor)
    if not within and landmark.anchor == "middle":  # Over the vessel, which would run through the words.
        at_left = (on.side == "left") == (landmark.words == "hand")  # Away from the words at the artery.
        x = on.frame.left + (3 * size if at_left else on.frame.width - 3 * size)
    shown = [
        words(each, x=x, y=y + index * size * 1.1, size=size, tone=tone, anchor=anchor)
        for index, each in enumerate(landmark.words.split("\n"))
    ]
    arrow = landmark.arrow if within or landmark.words != "hand" else "down"
    if arrow:
        tip = y - size * 1.7 if arrow == "up" else y + size * 1.2
        shown.append(_arrow(x, tip, size * 0.8, up=arrow == "up", tone=tone))
    return group(*shown)


def _arrow(x: float, tip: float, size: float, *, up: bool, tone: Tone) -> Markup:
    """A small upright arrow over or under the words that it belongs to."""
    down = 1.0 if up else -1.0
    wing = size * 0.3
    return group(
        polyline([(x, tip), (x, tip + down * size)], tone=tone, width=size / 9),
        polyline([(x - wing, tip + down * wing), (x, tip), (x + wing, tip + down * wing)], tone=tone, width=size / 9),
    )
