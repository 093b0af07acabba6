"""The figures of an evaluation as SVG: delay against false flags, stated against true, coverage by stretch.

In simulation, no patient data, and each figure says so. Rules differ by dash and mark, not by colour.
"""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

from access.drawing.ink import BAND, EDGE, INK, PAPER, SOFT, Markup, element, group, line, paint, words
from access.practice.evaluation.curves import Curve
from access.practice.evaluation.plane import LEFT, RIGHT, SHAPES, SMALL, WIDTH, Axis, Plane, axis, mark
from access.practice.evaluation.printed import NO_PATIENTS
from access.practice.evaluation.simulated import Evaluated

LATEST_DAYS = 180.0  # Later than this a curve ends: the access has long failed.
RINGED = (
    "Within a ring: as written or as shipped; the other marks are cuts moved. "
    f"More than {LATEST_DAYS:.0f} days late is left out."
)
COVERAGE_BARS = {"stable": (0.88, 0.95), "failing": (0.86, 0.95)}
JUDGED = ("stable", "up to the event", "up to 60 days after it")  # The other stretches are shown, and have no bar.


def written(found: Sequence[Evaluated], *, folder: Path) -> Iterator[Path]:
    """Each figure as a file in the folder, which is made where it is not there."""
    folder.mkdir(parents=True, exist_ok=True)
    drawn = {f"delay-{one.name}.svg": delay(one) for one in found}
    drawn |= {"reliability.svg": reliability(found), "coverage.svg": coverage(found)}
    for name, svg in drawn.items():
        path = folder / name
        path.write_text(svg, encoding="utf-8")
        yield path


def delay(found: Evaluated) -> str:
    """Median delay against false flags for the contenders of one cohort, each as its cut is moved."""
    shown = [(one, _within(one)) for one in found.curves]
    days = [up for _, points in shown for _, up in points] or [0.0]
    plane = Plane(
        across=axis("false flags a stable access-year", over=[0.0, 0.7], at_most=8, decimals=1),
        up=axis("median delay from the true event, days (below zero: before it)", over=[*days, 0.0], at_most=9),
        names=len(shown) + 1,
    )
    parts = [plane.path(points, number=number) for number, (_, points) in enumerate(shown)]
    parts += [_standing(plane, one, number=number) for number, (one, _) in enumerate(shown)]
    names = [plane.named(number, row=number, said=one.name) for number, (one, _) in enumerate(shown)]
    zero = line(LEFT, plane.y(0.0), WIDTH - RIGHT, plane.y(0.0), tone=EDGE, width=1.4)
    return plane.whole(
        zero,
        *parts,
        *names,
        plane.note(RINGED, row=len(shown)),
        title=f"How early a rule flags at a price in false flags, cohort {found.name}",
        under=f"{NO_PATIENTS} Seed {found.seeds[0]}.",
        description="; ".join(_curve_said(one) for one in found.curves),
    )


def _within(curve: Curve) -> list[tuple[float, float]]:
    return [
        (one.false_a_year, one.delay_days)
        for one in curve.points
        if math.isfinite(one.delay_days) and one.delay_days <= LATEST_DAYS and one.false_a_year <= 0.7
    ]


def _standing(plane: Plane, curve: Curve, *, number: int) -> Markup:
    """A rule's mark in a ring where it stands without moving its cut."""
    stands = curve.stands
    if stands is None or not math.isfinite(stands.delay_days) or stands.false_a_year > plane.across.high:
        return group()
    x, y = plane.x(stands.false_a_year), plane.y(stands.delay_days)
    return group(
        element("circle", cx=x, cy=y, r=10, **paint(fill=PAPER, stroke=INK, width=1.4)),
        mark(x, y, shape=SHAPES[number % len(SHAPES)]),
    )


def _curve_said(curve: Curve) -> str:
    told = ", ".join(f"{up:.0f} days at {across:.2f}" for across, up in _within(curve))
    return f"{curve.name}: {told or 'never flags half of them'}"


def reliability(found: Sequence[Evaluated]) -> str:
    """P(below the limit) as stated against how often it was so."""
    share = tuple(number / 5 for number in range(6))
    plane = Plane(
        across=Axis(words="stated: probability that the flow is below the limit", ticks=share, decimals=1),
        up=Axis(words="share of these that were below", ticks=share, decimals=1),
        names=len(found) + 1,
    )
    even = line(plane.x(0), plane.y(0), plane.x(1), plane.y(1), tone=SOFT, width=1.2, dash="3 4")
    told = {one.name: [(each.predicted, each.observed) for each in one.doubts[-1].reliability] for one in found}
    return plane.whole(
        even,
        *(plane.path(points, number=number) for number, points in enumerate(told.values())),
        *(plane.named(number, row=number, said=f"cohort {name}") for number, name in enumerate(told)),
        plane.note(
            "On the thin dashed diagonal what is stated is what is so; above it the trend says too little.",
            row=len(told),
        ),
        title="Whether a stated probability is honest",
        under=NO_PATIENTS,
        description="; ".join(
            f"cohort {name}: " + ", ".join(f"{stated:.2f} stated, {so:.2f} so" for stated, so in points)
            for name, points in told.items()
        ),
    )


def coverage(found: Sequence[Evaluated]) -> str:
    """Share of 90 % intervals of the level that hold the true flow, for stable accesses and by stretch for failing."""
    rows = ["stable", *found[0].doubts[-1].failing]
    plane = Plane(
        across=Axis(words="", ticks=(0.0, float(len(rows))), decimals=0),
        up=Axis(
            words="share of 90 % intervals that hold the true flow",
            ticks=(0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1.0),
            decimals=2,
        ),
        names=len(found) + 1,
    )
    told = {one.name: [one.doubts[-1].stable, *one.doubts[-1].failing.values()] for one in found}
    return plane.whole(
        *(_bar(plane, place, name) for place, name in enumerate(rows)),
        *(_marks(plane, number, shares) for number, shares in enumerate(told.values())),
        *(_named(plane, number, name) for number, name in enumerate(told)),
        plane.note("Shaded: where it is to lie (for failing accesses up to 60 days after the event).", row=len(told)),
        title="Whether the 90 % interval of the level holds",
        under=f"{NO_PATIENTS} Failing accesses by how long after their true event they are looked at.",
        description="; ".join(
            f"cohort {name}: " + ", ".join(f"{row} {share:.3f}" for row, share in zip(rows, shares, strict=True))
            for name, shares in told.items()
        ),
    )


def _bar(plane: Plane, place: int, name: str) -> Markup:
    """The name of a stretch under its column, and where its share is to lie."""
    middle, kind = plane.x(place + 0.5), "stable" if name == "stable" else "failing"
    said = ["stable"] if kind == "stable" else ["failing,", name]
    foot = group(
        *(
            words(one, x=middle, y=plane.bottom + 18 + row * 15, size=SMALL, anchor="middle")
            for row, one in enumerate(said)
        )
    )
    if name not in JUDGED:
        return foot
    top, bottom = plane.y(COVERAGE_BARS[kind][1]), plane.y(COVERAGE_BARS[kind][0])
    return group(element("rect", x=middle - 50, y=top, width=100, height=bottom - top, **paint(fill=BAND)), foot)


def _marks(plane: Plane, number: int, shares: Sequence[float]) -> Markup:
    return group(
        *(
            mark(plane.x(place + 0.4 + 0.2 * number), plane.y(share), shape=SHAPES[number], size=5)
            for place, share in enumerate(shares)
        )
    )


def _named(plane: Plane, number: int, name: str) -> Markup:
    y = plane.foot + 20 * number
    return group(
        mark(LEFT + 8, y, shape=SHAPES[number], size=5), words(f"cohort {name}", x=LEFT + 24, y=y + 4, size=13)
    )
