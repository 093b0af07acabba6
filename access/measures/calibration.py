"""How the loss coefficient of the model's needles was found: a fit to published pressures by gauge.

This is calibration, not a check: the points used here can confirm nothing. It is run by tests and by whoever changes
a diameter; the program itself uses the constants in ``hydraulics``.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from access.measures.circuit import GRAFT, Conditions, Needle, solve
from access.measures.hydraulics import bore_mm


@dataclass(frozen=True, kw_only=True)
class Anchor:
    """A published venous pressure (mmHg) of one gauge at one pump speed (mL/min)."""

    gauge: int
    pump_ml_min: float
    venous_mmhg: float


# Source needle-pressure-1996. 17G at 500 mL/min is outside use: reported, never fitted.
ANCHORS = (
    Anchor(gauge=14, pump_ml_min=200, venous_mmhg=83),
    Anchor(gauge=14, pump_ml_min=500, venous_mmhg=204),
    Anchor(gauge=17, pump_ml_min=200, venous_mmhg=147),
)
OUTSIDE_USE = Anchor(gauge=17, pump_ml_min=500, venous_mmhg=382)


@dataclass(frozen=True, kw_only=True)
class Point:
    """An anchor beside what the model says of it, by the fit to all anchors and by the fit to the others."""

    anchor: Anchor
    fitted_mmhg: float
    left_out_mmhg: float

    @property
    def residual_mmhg(self) -> float:
        """Model less published, in mmHg."""
        return self.fitted_mmhg - self.anchor.venous_mmhg

    @property
    def left_out_error(self) -> float:
        """Error of the prediction by the other anchors, as a fraction of the published value."""
        return self.left_out_mmhg / self.anchor.venous_mmhg - 1


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """The fitted loss coefficient (no unit), each anchor with its residual, and the point outside use."""

    loss_coefficient: float
    points: tuple[Point, ...]
    outside_use_mmhg: float


def calibrate(anchors: Sequence[Anchor] = ANCHORS) -> Calibration:
    """One loss coefficient (no unit) common to all gauges, by least squares over venous pressures.

    Returns
    -------
    Calibration
        ``loss_coefficient``, ``points`` with residuals and leave-one-out errors, ``outside_use_mmhg``.

    Notes
    -----
    Diameters stay as assumed. The study does not say (as far as it was seen) how high the chambers hung or what
    stood in the accesses: a healthy graft with the chamber level is assumed. The fit is 2.76, residuals -15, -18 and
    +25 mmHg: the diameters assumed spread the gauges too far. Each point is predicted by the other two within 30 %.
    17G at 500 mL/min comes out at 732 where 382 was read, so thin needles at high speed are not to be trusted.

    References
    ----------
    needle-pressure-1996, needle-bore
    """
    loss = _fit(anchors)
    points = []
    for index, anchor in enumerate(anchors):
        others = [*anchors[:index], *anchors[index + 1 :]]
        points.append(
            Point(
                anchor=anchor,
                fitted_mmhg=_venous_mmhg(anchor, loss=loss),
                left_out_mmhg=_venous_mmhg(anchor, loss=_fit(others)),
            )
        )
    return Calibration(
        loss_coefficient=loss, points=tuple(points), outside_use_mmhg=_venous_mmhg(OUTSIDE_USE, loss=loss)
    )


def _venous_mmhg(anchor: Anchor, *, loss: float) -> float:
    venous = Needle(bore_mm=bore_mm(anchor.gauge), loss=loss)
    return float(solve(GRAFT, conditions=Conditions(pump_ml_min=anchor.pump_ml_min, venous=venous)).venous_mmhg)


def _fit(anchors: Sequence[Anchor]) -> float:
    """Least squares in closed form: the pressure is linear in the loss coefficient."""
    without = [_venous_mmhg(anchor, loss=0.0) for anchor in anchors]
    each = [_venous_mmhg(anchor, loss=1.0) - base for anchor, base in zip(anchors, without, strict=True)]
    missing = [anchor.venous_mmhg - base for anchor, base in zip(anchors, without, strict=True)]
    return sum(a * b for a, b in zip(each, missing, strict=True)) / sum(a * a for a in each)
