"""The step test: venous pressure at three or four low pump speeds of one treatment gives the pressure in the access.

At low speed the needle takes little, so the pressure without it is hardly a matter of the model: better than any
pressure read at full speed. The fit keeps the shape that theory gives the needle and frees its size. It raises
nothing, and it is no static pressure read with the pump off: that one stays the first choice.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from access.measures import Refused
from access.measures.fieller import Z_90
from access.measures.hydraulics import REFERENCE_HEMATOCRIT, Values, needle_alone_mmhg, values
from access.measures.pressure import static_ratio
from access.measures.readings import DynamicReading
from access.measures.units import as_shown
from access.measures.words import RatioFormula

LEAST_SPEEDS, LEAST_SPREAD_ML_MIN, FASTEST_ML_MIN = 3, 100.0, 250.0  # Own choice.
SAME_ML_MIN = 10.0  # Speeds this near are one, as for the usual band.
WITHIN_MINUTES = 15.0  # The whole test, since pressures wander in a treatment (own choice).
NOISE_MMHG = 2.0  # Of one reading; assumed in the simulation, and the least that is believed here.
FALL_MMHG = 5.0  # A fall from one speed to the next that noise does not explain.
WILD_MMHG = 10.0  # Scatter about the curve at which no curve is told from it.
MEAN_ARTERIAL_CV = 0.04  # Of a cuff, as in the simulation.
USUAL_SCALE = (0.5, 2.0)  # Beyond: another needle than recorded, or something in the line.


@dataclass(frozen=True, kw_only=True)
class FreeCurve:
    """The pressure without pump by a parabola that knows nothing of needles, in mmHg with its standard error."""

    intercept_mmhg: float
    standard_error_mmhg: float


@dataclass(frozen=True, kw_only=True)
class StepTest:
    """The pressure at the venous site as the chamber shows it, in mmHg, with its standard error and how it was found.

    ``scale`` is the needle's drop over that of the model; ``residual_mmhg`` the root mean square about the curve.
    """

    intercept_mmhg: float
    standard_error_mmhg: float
    scale: float
    scale_error: float
    residual_mmhg: float
    free: FreeCurve
    gauge: int
    hematocrit_fraction: float
    speeds_ml_min: tuple[float, ...]
    notes: tuple[str, ...] = ()

    def at(self, pump_ml_min: ArrayLike) -> Values:
        """The fitted pressure (mmHg) at pump speeds, for a drawing."""
        alone = needle_alone_mmhg(pump_ml_min, gauge=self.gauge, hematocrit_fraction=self.hematocrit_fraction)
        return self.intercept_mmhg + self.scale * alone


@dataclass(frozen=True, kw_only=True)
class SteppedRatio:
    """A static ratio by step test (no unit) with standard error and 90 % interval, and its height formula."""

    ratio: float
    standard_error: float
    low: float
    high: float
    formula: RatioFormula


def step_test(
    venous_mmhg: Sequence[float],
    *,
    pump_ml_min: Sequence[float],
    gauge: int | None,
    hematocrit_fraction: float | None = None,
) -> StepTest:
    """Static pressure at the venous site, in mmHg as the chamber shows it, from pressures at low pump speeds.

    Parameters
    ----------
    venous_mmhg, pump_ml_min : sequence of float, (n,)
        Readings of one treatment, mmHg, at 0 to 250 mL/min; three different speeds or more, 100 mL/min apart in all.
    gauge : int
        Of the venous needle.
    hematocrit_fraction : float, optional
        Taken as .33 when not known.

    Raises
    ------
    Refused
        Too few, too fast or too narrow speeds, no gauge, pressures that fall with speed or lie on no curve.

    Notes
    -----
    P = c drop(Q) + P0 by least squares, drop the model's needle. Errors are those of least squares with the scatter
    of the readings, but at least 2 mmHg. A free parabola stands beside it: at 50, 100, 150 and 200 mL/min its error
    is three times as large. In simulation, no patient data.

    References
    ----------
    simulation, own-choice
    """
    pressures, speeds = values(venous_mmhg), values(pump_ml_min)
    _refuse(pressures, speeds)
    if gauge is None:
        raise Refused("A step test needs the gauge of the venous needle, which is not recorded.", field="gauge")
    hematocrit = REFERENCE_HEMATOCRIT if hematocrit_fraction is None else hematocrit_fraction
    alone = needle_alone_mmhg(speeds, gauge=gauge, hematocrit_fraction=hematocrit)
    scaled = _least_squares(np.column_stack([np.ones_like(speeds), alone]), pressures)
    hundreds = speeds / 100  # Keeps the columns of one size.
    parabola = _least_squares(np.column_stack([np.ones_like(speeds), hundreds, hundreds**2]), pressures)
    if scaled.residual_mmhg > WILD_MMHG:
        raise Refused(
            f"The pressures scatter by {scaled.residual_mmhg:.0f} mmHg about any needle's curve: repeat the test.",
            field="venous_mmhg",
        )
    return StepTest(
        intercept_mmhg=float(scaled.found[0]),
        standard_error_mmhg=float(scaled.errors[0]),
        scale=float(scaled.found[1]),
        scale_error=float(scaled.errors[1]),
        residual_mmhg=scaled.residual_mmhg,
        free=FreeCurve(intercept_mmhg=float(parabola.found[0]), standard_error_mmhg=float(parabola.errors[0])),
        gauge=gauge,
        hematocrit_fraction=hematocrit,
        speeds_ml_min=tuple(float(speed) for speed in speeds),
        notes=_notes(scaled, gauge=gauge, hematocrit_known=hematocrit_fraction is not None),
    )


@dataclass(frozen=True, kw_only=True)
class _Line:
    found: Values
    errors: Values
    residual_mmhg: float


def _least_squares(columns: Values, pressures: Values) -> _Line:
    """Coefficients with standard errors; the scatter is the readings' own, but never below ``NOISE_MMHG``."""
    count, unknowns = columns.shape
    found = values(np.linalg.lstsq(columns, pressures, rcond=None)[0])
    squares = float(np.sum((pressures - columns @ found) ** 2))
    scatter = math.sqrt(squares / (count - unknowns)) if count > unknowns else 0.0
    covariance = max(scatter, NOISE_MMHG) ** 2 * np.linalg.inv(columns.T @ columns)
    return _Line(found=found, errors=np.sqrt(np.diag(covariance)), residual_mmhg=math.sqrt(squares / count))


def _refuse(pressures: Values, speeds: Values) -> None:
    if pressures.shape != speeds.shape or pressures.ndim != 1:
        raise Refused("A step test has one pressure for each pump speed.", field="venous_mmhg")
    if not bool(np.all(np.isfinite(pressures)) and np.all(np.isfinite(speeds))):
        raise Refused("A pressure or a pump speed of the step test is not a number.", field="venous_mmhg")
    if bool(np.any(speeds < 0)) or bool(np.any(np.round(speeds) > FASTEST_ML_MIN)):
        raise Refused(
            f"A step test is read at 0 to {FASTEST_ML_MIN:.0f} mL/min; at {speeds.max():.0f} the needle speaks louder "
            "than the access.",
            field="pump_ml_min",
        )
    steps = _different(speeds)
    if len(steps) < LEAST_SPEEDS:
        raise Refused(f"A step test needs {LEAST_SPEEDS} different pump speeds, not {len(steps)}.", field="pump_ml_min")
    if round(steps[-1] - steps[0]) < LEAST_SPREAD_ML_MIN:
        raise Refused(
            f"The pump speeds lie within {steps[-1] - steps[0]:.0f} mL/min: too narrow for a curve, it takes "
            f"{LEAST_SPREAD_ML_MIN:.0f}.",
            field="pump_ml_min",
        )
    _refuse_a_fall(pressures, speeds, steps)


def _refuse_a_fall(pressures: Values, speeds: Values, steps: tuple[float, ...]) -> None:
    """Through a needle more flow takes more pressure; a fall says that something else changed."""
    step_of = np.searchsorted(np.asarray(steps), speeds, side="right") - 1
    means = [float(np.mean(pressures[step_of == step])) for step in range(len(steps))]
    for slower, faster in zip(range(len(steps)), range(1, len(steps)), strict=False):
        if means[faster] < means[slower] - FALL_MMHG:
            raise Refused(
                f"The pressure falls from {means[slower]:.0f} to {means[faster]:.0f} mmHg as the pump goes from "
                f"{steps[slower]:.0f} to {steps[faster]:.0f} mL/min: look at clamp, kink and needle, then repeat.",
                field="venous_mmhg",
            )
    if means[-1] <= means[0]:
        raise Refused("The pressure does not rise with the pump speed: this is no step test.", field="venous_mmhg")


def _different(speeds: ArrayLike) -> tuple[float, ...]:
    """The lowest speed of each group that counts as one speed, rising."""
    steps: list[float] = []
    for speed in sorted(float(one) for one in values(speeds)):
        if not steps or as_shown(speed - steps[-1], decimals=0) > SAME_ML_MIN:
            steps.append(speed)
    return tuple(steps)


def _notes(scaled: _Line, *, gauge: int, hematocrit_known: bool) -> tuple[str, ...]:
    notes = [] if hematocrit_known else [f"hematocrit {REFERENCE_HEMATOCRIT:.2f} assumed"]
    scale = float(scaled.found[1])
    if not USUAL_SCALE[0] <= scale <= USUAL_SCALE[1]:
        notes.append(f"the needle drops {scale:.1f} times what a {gauge}G should: look at gauge, clamp and kink")
    return tuple(notes)


def ratio(test: StepTest, *, height_cm: float, mean_arterial_mmhg: float, formula: RatioFormula) -> SteppedRatio:
    """Static ratio (no unit) of the venous site by step test, with its 90 % interval.

    Parameters
    ----------
    height_cm : float
        Chamber above the access, cm.
    mean_arterial_mmhg : float
        Mean arterial pressure at the test, mmHg.
    formula : RatioFormula
        Which height term.

    Raises
    ------
    Refused
        As ``pressure.static_ratio``.

    Notes
    -----
    The doubt is that of the intercept and of the blood pressure (4 %); that of the height is left out, since at one
    chair it is the same every time and cancels against the own baseline.

    References
    ----------
    simulation, besarab-2002
    """
    found = static_ratio(
        test.intercept_mmhg, height_cm=height_cm, mean_arterial_mmhg=mean_arterial_mmhg, formula=formula
    )
    error = math.hypot(test.standard_error_mmhg / mean_arterial_mmhg, MEAN_ARTERIAL_CV * found.ratio)
    return SteppedRatio(
        ratio=found.ratio,
        standard_error=error,
        low=found.ratio - Z_90 * error,
        high=found.ratio + Z_90 * error,
        formula=formula,
    )


def found(readings: Sequence[DynamicReading]) -> tuple[DynamicReading, ...]:
    """The readings of one treatment that make a step test, the last one where it was repeated; empty when none do.

    Parameters
    ----------
    readings : sequence of DynamicReading
        All of one treatment.

    Raises
    ------
    Refused
        When they come from several treatments.

    Notes
    -----
    At one gauge, at most 250 mL/min, three different speeds, 100 mL/min apart in all, within 15 minutes.

    References
    ----------
    own-choice
    """
    if len({one.treatment for one in readings}) > 1:
        raise Refused("A step test lies within one treatment.", field="treatment")
    slow = sorted(
        (one for one in readings if one.venous_mmhg is not None and round(one.pump_ml_min) <= FASTEST_ML_MIN),
        key=lambda one: (one.minute, one.id),
    )
    for last in reversed(slow):
        near = tuple(one for one in slow if 0 <= last.minute - one.minute <= WITHIN_MINUTES and one.gauge == last.gauge)
        speeds = _different([one.pump_ml_min for one in near])
        if len(speeds) >= LEAST_SPEEDS and round(speeds[-1] - speeds[0]) >= LEAST_SPREAD_ML_MIN:
            return near
    return ()


def measured(readings: Sequence[DynamicReading]) -> StepTest | None:
    """The step test of one treatment, ``None`` where none was made.

    Raises
    ------
    Refused
        When one was made and no pressure follows from it.
    """
    steps = found(readings)
    if not steps:
        return None
    return step_test(
        [one.venous_mmhg for one in steps if one.venous_mmhg is not None],
        pump_ml_min=[one.pump_ml_min for one in steps],
        gauge=steps[-1].gauge,
        hematocrit_fraction=steps[-1].hematocrit_fraction,
    )
