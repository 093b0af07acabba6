"""Points along the drawn vessels worked out another way than the program does, by SciPy's own integration.

The length of a cubic is the integral of its speed (scipy.integrate.quad), the place of a length is found by root
finding (scipy.optimize.brentq), the curve itself is scipy.interpolate.BPoly. Run as a program it writes
fixtures/arithmetic/centre-lines.json, which the page's own tests read too: python -m tests.drawing.exact
"""

import json
from functools import cache, partial
from math import hypot
from pathlib import Path
from typing import Any

from scipy.integrate import quad
from scipy.interpolate import BPoly
from scipy.optimize import brentq

from access.drawing.geometry import geometries
from access.measures.words import Configuration, Side

FIXTURE = Path(__file__).parents[2] / "fixtures" / "arithmetic" / "centre-lines.json"
ACCESSES: tuple[tuple[Configuration, Side, float], ...] = (
    ("radiocephalic", "left", 23.0),
    ("radiocephalic", "right", 18.5),
    ("forearm loop graft", "left", 40.0),
    ("forearm loop graft", "right", 36.0),
    ("brachiocephalic", "left", 20.0),
)
SHARES = (0.0, 0.07, 0.21, 0.36, 0.48, 0.5, 0.63, 0.8, 0.94, 1.0)
ACROSS_CM = (0.0, 0.25, -0.3)


@cache
def pieces(configuration: Configuration) -> list[tuple[Any, Any, float]]:
    """Each cubic as a curve and its derivative over 0 to 1, with its length."""
    start, *segments = geometries()[configuration].centre
    found = []
    for segment in segments:
        control = [start, segment[0:2], segment[2:4], segment[4:6]]
        curve = BPoly([[list(point)] for point in control], [0.0, 1.0])
        found.append((curve, curve.derivative(), _length(curve.derivative(), 1.0)))
        start = segment[4:6]
    return found


def _length(speed: Any, until: float) -> float:
    return float(quad(lambda t: hypot(*speed(t)), 0.0, until, epsabs=1e-10, epsrel=1e-10)[0])


def path_length(configuration: Configuration) -> float:
    """The length of the whole path (drawing units)."""
    return sum(length for _, _, length in pieces(configuration))


def _found(configuration: Configuration, along: float) -> tuple[Any, Any, float]:
    """The cubic in which a length of the path lies, its derivative, and where on it."""
    for curve, speed, length in pieces(configuration):
        if along <= length:
            return curve, speed, float(brentq(partial(_excess, speed, along), 0.0, 1.0, xtol=1e-13))
        along -= length
    curve, speed, _ = pieces(configuration)[-1]
    return curve, speed, 1.0


def _excess(speed: Any, along: float, t: float) -> float:
    return _length(speed, t) - along


def point(
    configuration: Configuration, side: Side, *, length_cm: float, along_cm: float, across_cm: float
) -> tuple[float, float]:
    """The point of the drawing at a place of the vessel."""
    scale = path_length(configuration) / length_cm
    curve, speed, at = _found(configuration, along_cm * scale)
    (x, y), (dx, dy) = curve(at), speed(at)
    # On a left arm the thumb is at the right: of the two normals, the one with x to the right.
    nx, ny = (-dy, dx) if dy <= 0 else (dy, -dx)
    x, y = x + across_cm * scale * nx / hypot(dx, dy), y + across_cm * scale * ny / hypot(dx, dy)
    left_edge, _, width, _ = geometries()[configuration].view_box
    return (float(x if side == "left" else 2 * left_edge + width - x), float(y))


def rows() -> list[dict[str, Any]]:
    """All points of the fixture."""
    return [
        {
            "configuration": configuration,
            "side": side,
            "length_cm": length_cm,
            "along_cm": round(share * length_cm, 3),
            "across_cm": across_cm,
        }
        for configuration, side, length_cm in ACCESSES
        for share in SHARES
        for across_cm in ACROSS_CM
    ]


def write() -> None:
    """The fixture, one point a line."""
    lines = []
    for row in rows():
        place = {key: row[key] for key in ("length_cm", "along_cm", "across_cm")}
        x, y = point(row["configuration"], row["side"], **place)
        lines.append("    " + json.dumps({**row, "x": round(x, 4), "y": round(y, 4)}))
    about = (
        "Points on the drawn centre lines by numerical integration of the speed (SciPy), see tests/drawing/exact.py."
    )
    text = ",\n".join(lines)
    FIXTURE.write_text(f'{{\n  "about": "{about}",\n  "points": [\n{text}\n  ]\n}}\n', encoding="utf-8")


if __name__ == "__main__":
    write()
