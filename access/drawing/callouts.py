"""Labels beside a map that point at places on the vessel and never lie on each other.

It places words only; what the words say comes from the caller.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from access.drawing.centre_line import Point
from access.drawing.ink import EDGE, INK, Markup, Tone, group, polyline, words


@dataclass(frozen=True, kw_only=True)
class Callout:
    """One or two short lines of text and the point of the vessel that they belong to."""

    lines: tuple[str, ...]
    foot: Point
    right: bool  # In the column at the right of the drawing, else at its left.
    tone: Tone = INK
    bold: bool = False


def spread(wanted: Sequence[float], *, heights: Sequence[float], top: float, bottom: float) -> list[float]:
    """Centres as near as possible to those wanted, in the same order, so that boxes do not overlap.

    Neighbours that would overlap form a block, which is put at the mean of what its members want (the usual way of
    isotonic regression); what does not fit between top and bottom hangs over at the bottom.
    """
    offsets: list[float] = []  # Where each box's centre stands when all are stacked without a gap.
    stacked = 0.0
    for height in heights:
        offsets.append(stacked + height / 2)
        stacked += height
    blocks: list[list[float]] = []  # Of each block: the sum of wanted starts, and how many boxes.
    for each, offset in zip(wanted, offsets, strict=True):
        blocks.append([each - offset, 1.0])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] > blocks[-1][0] / blocks[-1][1]:
            start, count = blocks.pop()
            blocks[-1][0] += start
            blocks[-1][1] += count
    starts = [start / count for start, count in blocks for _ in range(int(count))]
    highest = max(bottom - stacked, top)
    return [min(max(start, top), highest) + offset for start, offset in zip(starts, offsets, strict=True)]


def stacked_height(callouts: Sequence[Callout], *, size: float) -> float:
    """How much room the labels of one column need when they stand one upon the other."""
    return sum(_height(each, size) for each in callouts)


def _height(callout: Callout, size: float) -> float:
    return len(callout.lines) * size * 1.15 + size * 0.3


def placed(callouts: Sequence[Callout], *, column: float, size: float, top: float, bottom: float) -> Markup:
    """The labels of one column with their leader lines, which end a little before the words."""
    ordered = sorted(callouts, key=lambda each: each.foot.y)
    heights = [_height(each, size) for each in ordered]
    centres = spread([each.foot.y for each in ordered], heights=heights, top=top, bottom=bottom)
    return group(*(_one(each, at, column, size) for each, at in zip(ordered, centres, strict=True)))


def _one(callout: Callout, centre: float, column: float, size: float) -> Markup:
    away = -1.0 if callout.right else 1.0
    near, far = column + away * size * 0.35, column + away * size * 1.1
    leader = polyline([(callout.foot.x, callout.foot.y), (far, centre), (near, centre)], tone=EDGE, width=size / 16)
    first = centre - (len(callout.lines) - 1) * size * 1.15 / 2 + size * 0.35
    lines = (
        words(
            line,
            x=column,
            y=first + index * size * 1.15,
            size=size,
            tone=callout.tone,
            anchor="start" if callout.right else "end",
            bold=callout.bold and index == 0,
        )
        for index, line in enumerate(callout.lines)
    )
    return group(leader, *lines)
