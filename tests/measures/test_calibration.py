"""The calibration of the needles: what was fitted, what is left over, and how far a point left out is missed."""

from typing import Any

import pytest

from access.measures.calibration import ANCHORS, OUTSIDE_USE, Anchor, calibrate
from access.measures.hydraulics import VENOUS_LOSS
from tests.measures.cases import cases

PRINTED = cases("circuit", formula="circuit.needle-loss")


def printed(use: str) -> list[dict[str, Any]]:
    return [case for case in PRINTED if case["use"] == use]


def anchor_of(case: dict[str, Any]) -> Anchor:
    return Anchor(venous_mmhg=case["expected"], **case["given"])


def test_the_anchors_are_the_printed_pressures_and_17g_at_500_is_not_among_them() -> None:
    assert tuple(anchor_of(case) for case in printed("calibration")) == ANCHORS
    assert [anchor_of(case) for case in printed("outside use")] == [OUTSIDE_USE]


def test_the_program_uses_the_coefficient_that_the_fit_gives() -> None:
    assert calibrate().loss_coefficient == pytest.approx(VENOUS_LOSS, abs=0.006)


def test_the_residuals_are_those_that_the_docstring_owns_to() -> None:
    residuals = [round(point.residual_mmhg) for point in calibrate().points]
    assert residuals == [-15, -18, 25]
    for case, residual in zip(printed("calibration"), residuals, strict=True):
        assert abs(residual) < case["tolerance"]


def test_no_other_coefficient_fits_better() -> None:
    best = sum(point.residual_mmhg**2 for point in calibrate().points)
    for moved in (-1.0, 1.0):
        shifted = [Anchor(gauge=a.gauge, pump_ml_min=a.pump_ml_min, venous_mmhg=a.venous_mmhg + moved) for a in ANCHORS]
        other = calibrate(shifted)
        errors = [point.fitted_mmhg - anchor.venous_mmhg for point, anchor in zip(other.points, ANCHORS, strict=True)]
        assert other.loss_coefficient != calibrate().loss_coefficient
        assert sum(error**2 for error in errors) > best


def test_each_point_left_out_is_predicted_within_forty_percent() -> None:
    # What the other two points predict has not seen the third: the one check inside a calibration.
    errors = [point.left_out_error for point in calibrate().points]
    assert max(abs(error) for error in errors) < 0.40
    assert [round(error, 2) for error in errors] == [-0.18, -0.22, 0.28]


def test_thin_needles_at_high_speed_are_reported_as_missed() -> None:
    # Outside use: the model reads nearly twice what was printed. Nothing is fitted to it and nobody is told otherwise.
    assert calibrate().outside_use_mmhg == pytest.approx(732, abs=1)
