"""The map of one access as SVG: where it runs, where needles were, where they are planned, what to keep off.

Seen from the front, palm up, hand at the bottom: in a left arm the thumb is at the right of the picture, in a right
arm at its left. The kinds of access without a drawing of their own are shown as a plain labelled line. Nothing is
decided here: sites, zones and ages come from the caller.
"""

from collections.abc import Sequence
from dataclasses import replace

from access.drawing.callouts import Callout, stacked_height
from access.drawing.callouts import placed as placed_callouts
from access.drawing.ink import Markup, drawing, window
from access.drawing.marks import NO_PAIR, Marks, Pair, PastSite, ZoneMark, describe
from access.drawing.overlays import callouts_for, joints, needle, past, rest, ruler, zone
from access.drawing.sheet import Sheet, View, background, flow_arrows, heading, landmarks, sheet
from access.measures.words import Configuration, Side

__all__ = ["Marks", "Pair", "PastSite", "View", "ZoneMark", "render"]


def render(
    configuration: Configuration,
    *,
    side: Side,
    length_cm: float | None = None,
    needled: tuple[float, float] | None = None,
    punctures: Sequence[PastSite] = (),
    zones: Sequence[ZoneMark] = (),
    planned: Pair = NO_PAIR,
    placed: Pair = NO_PAIR,
    title: str = "",
    view: View = "whole",
    width_px: float = 360,
) -> str:
    """The map as an SVG text.

    Parameters
    ----------
    configuration, side
        Which drawing, and whether it is mirrored.
    length_cm
        Length of this patient's vessel from the arterial anastomosis (cm); ``None``: as drawn.
    needled
        The stretch that is needled, from and to (cm).
    punctures, zones, planned, placed
        What is marked. What lies beyond the vessel is left out, and the description says how much.
    title
        The name of the picture for a screen reader; by default whose limb and which access.
    view
        ``"whole"`` shows the limb, ``"needled"`` only the needled stretch and what is around it.
    width_px
        The width at which it is meant to be shown (CSS px): words and marks keep their size at that width, and
        shrink with the picture below 360.

    Raises
    ------
    Refused
        When the length is not a positive number.
    """
    on = sheet(configuration, side=side, length_cm=length_cm, needled=needled, view=view, width_px=width_px)
    every = Marks(punctures=tuple(punctures), zones=tuple(zones), planned=planned, placed=placed)
    marks = every.on(on.line.length_cm)
    on, columns = _labelled(on, callouts_for(on, marks))
    whose, label = on.geometry.whose(side), on.geometry.label
    within = window(
        on.frame,
        background(on),
        rest(on, marks.punctures),
        flow_arrows(on),
        *(zone(on, each) for each in marks.zones),
        ruler(on, needled=needled),
        joints(on),
        landmarks(on),
        *(past(on, each) for each in sorted(marks.punctures, key=lambda each: -each.days)),
        *columns,
        *(needle(on, role, along, hollow=True) for role, along in marks.planned.sites()),
        *(needle(on, role, along, hollow=False) for role, along in marks.placed.sites()),
    )
    return drawing(
        on.whole,
        heading(on),
        within,
        kind="map",
        title=title or f"Map of the access: {whose}, {label}",
        description=describe(every, whose=whose, label=label, caution=on.geometry.caution, length_cm=on.line.length_cm),
    )


def _labelled(on: Sheet, labels: Sequence[Callout]) -> tuple[Sheet, list[Markup]]:
    """The labels in their two columns, on a sheet that is tall enough for them."""
    size, above, below = 11.5 * on.unit, 22 * on.unit, 34 * on.unit
    sides = [(right, [each for each in labels if each.right is right]) for right in (True, False)]
    needed = max(stacked_height(each, size=size) for _, each in sides) + above + below
    on = replace(on, frame=replace(on.frame, height=max(on.frame.height, needed)))
    bottom = on.frame.top + on.frame.height - below
    return on, [
        placed_callouts(each, column=on.column(right=right), size=size, top=on.frame.top + above, bottom=bottom)
        for right, each in sides
    ]
