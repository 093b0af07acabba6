"""The step test: equal to reference fits, surer than a parabola, recognised among readings, refused in words."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from access.measures import Refused
from access.measures.circuit import GRAFT, Conditions, Needle, solve, venous_needle
from access.measures.fieller import Z_90
from access.measures.hydraulics import Values, needle_alone_mmhg
from access.measures.pressure import static_ratio
from access.measures.step_test import NOISE_MMHG, StepTest, found, measured, ratio, step_test
from tests.measures.pressures import a_reading

SPEEDS = [50.0, 100.0, 150.0, 200.0]
NOISY = [42.0, 50.0, 66.0, 83.0]
WILDER = [30.0, 52.0, 55.0, 90.0]


def made(pressures: list[float], speeds: list[float] = SPEEDS, gauge: int | None = 15) -> StepTest:
    return step_test(pressures, pump_ml_min=speeds, gauge=gauge)


def alone(speeds: list[float], gauge: int = 15) -> Values:
    return needle_alone_mmhg(speeds, gauge=gauge)


@given(st.floats(-20, 120), st.floats(0.6, 1.8), st.sampled_from([14, 15, 16, 17]), st.booleans())
def test_exact_readings_give_the_pressure_back(pressure: float, scale: float, gauge: int, with_zero: bool) -> None:
    speeds = [0.0, *SPEEDS] if with_zero else SPEEDS
    test = made(list(pressure + scale * alone(speeds, gauge)), speeds, gauge)
    assert test.intercept_mmhg == pytest.approx(pressure, abs=1e-6)
    assert test.scale == pytest.approx(scale, abs=1e-6)
    assert test.free.intercept_mmhg == pytest.approx(pressure, abs=1e-6)
    assert list(test.at([0.0])) == [pytest.approx(test.intercept_mmhg)]


@pytest.mark.parametrize("pressures", [NOISY, WILDER])
def test_the_fit_is_that_of_scipy_with_its_errors(pressures: list[float]) -> None:
    # SciPy's curve_fit: with the noise given where the readings scatter less, by their own scatter where more.
    def curve(speed: Values, fixed: float, scale: float) -> Values:
        return fixed + scale * needle_alone_mmhg(speed, gauge=15)

    test, given_noise = made(pressures), pressures is NOISY
    sigma = np.full(4, NOISE_MMHG)
    expected, covariance = curve_fit(curve, SPEEDS, pressures, p0=(40, 1), sigma=sigma, absolute_sigma=given_noise)
    assert (test.residual_mmhg < 2) is given_noise
    assert (test.intercept_mmhg, test.scale) == pytest.approx(tuple(expected), rel=1e-5)
    errors = (test.standard_error_mmhg, test.scale_error)
    assert errors == pytest.approx(tuple(np.sqrt(np.diag(covariance))), rel=1e-4)


def test_the_parabola_is_that_of_numpy() -> None:
    *_, expected = np.polyfit(SPEEDS, NOISY, 2)
    assert made(NOISY).free.intercept_mmhg == pytest.approx(float(expected))


def test_the_scaled_curve_is_surer_than_a_parabola_in_simulation() -> None:
    # Circuit model with another needle and hematocrit than assumed, 2 mmHg of noise, fixed seed; no patient data.
    conditions = Conditions(
        pump_ml_min=np.array(SPEEDS),
        venous=Needle(bore_mm=1.58, loss=1.08 * float(venous_needle(15).loss)),  # type: ignore[arg-type]
        hematocrit_fraction=0.37,
    )
    true = solve(replace(GRAFT, outflow_percent=50.0), conditions=conditions)
    draws = np.random.default_rng(3).normal(true.venous_mmhg, 2.0, size=(400, 4))
    tests = [made(list(row)) for row in draws]
    errors = np.array([one.intercept_mmhg for one in tests]) - float(true.static_venous_mmhg)
    free = np.array([one.free.intercept_mmhg for one in tests]) - float(true.static_venous_mmhg)
    assert 1.7 <= errors.std() <= 2.1
    assert 4.0 <= free.std() <= 7.0
    assert abs(errors.mean()) < 0.5
    told = np.array([one.standard_error_mmhg for one in tests])
    assert 0.86 <= np.mean(np.abs(errors) <= Z_90 * told) <= 0.97


def test_a_reading_with_the_pump_off_helps_the_parabola_most() -> None:
    without, with_zero = made(NOISY), made([34.0, *NOISY], [0.0, *SPEEDS])
    assert with_zero.free.standard_error_mmhg < 0.5 * without.free.standard_error_mmhg
    assert with_zero.standard_error_mmhg < without.standard_error_mmhg


@pytest.mark.parametrize(
    ("pressures", "speeds", "gauge", "words"),
    [
        ([40.0, 60.0], [50.0, 200.0], 15, "needs 3 different pump speeds, not 2"),
        ([40.0, 41.0, 60.0], [50.0, 55.0, 200.0], 15, "not 2"),
        ([40.0, 45.0, 50.0], [150.0, 175.0, 200.0], 15, "too narrow"),
        ([40.0, 50.0, 90.0], [50.0, 100.0, 300.0], 15, "at 300 the needle speaks louder"),
        ([40.0, 50.0, 90.0], [-50.0, 100.0, 200.0], 15, "0 to 250"),
        ([60.0, 50.0, 40.0, 90.0], SPEEDS, 15, "falls from 60 to 50 mmHg"),
        ([60.0, 59.0, 58.0, 57.0], SPEEDS, 15, "does not rise"),
        ([40.0, 100.0, 99.0, 101.0], SPEEDS, 15, "scatter by 1[0-9] mmHg"),
        ([40.0, 50.0, float("nan"), 90.0], SPEEDS, 15, "not a number"),
        ([40.0, 50.0, 90.0], SPEEDS, 15, "one pressure for each"),
        (NOISY, SPEEDS, None, "gauge of the venous needle"),
        (NOISY, SPEEDS, 12, "14 to 17 gauge"),
    ],
)
def test_what_is_no_step_test_is_refused_in_words(
    pressures: list[float], speeds: list[float], gauge: int | None, words: str
) -> None:
    with pytest.raises(Refused, match=words):
        made(pressures, speeds, gauge)


def test_a_needle_that_drops_far_more_than_its_gauge_is_said() -> None:
    (assumed, strange) = made(list(40 + 3 * alone(SPEEDS))).notes
    assert assumed == "hematocrit 0.33 assumed"
    assert strange == "the needle drops 3.0 times what a 15G should: look at gauge, clamp and kink"


def test_the_ratio_is_that_of_the_static_pressure_with_the_doubt_of_both() -> None:
    test = made(NOISY)
    stepped = ratio(test, height_cm=30, mean_arterial_mmhg=93, formula="hydrostatic")
    plain = static_ratio(test.intercept_mmhg, height_cm=30, mean_arterial_mmhg=93, formula="hydrostatic")
    assert (stepped.ratio, stepped.formula) == (plain.ratio, plain.formula)
    # Simulation with a fixed seed, no patient data: intercept and blood pressure drawn with their errors.
    drawn = np.random.default_rng(9)
    intercepts = drawn.normal(test.intercept_mmhg, test.standard_error_mmhg, 20_000)
    ratios = (intercepts + 0.76 * 30) / (93 * (1 + drawn.normal(0, 0.04, 20_000)))
    assert stepped.standard_error == pytest.approx(float(ratios.std()), rel=0.05)
    assert stepped.high - stepped.low == pytest.approx(2 * Z_90 * stepped.standard_error)


STEPS = [a_reading(0, venous=p, pump=q, minute=20 + n) for n, (p, q) in enumerate(zip(NOISY, SPEEDS, strict=True))]


def test_a_step_test_is_found_among_the_readings_of_a_treatment() -> None:
    others = [
        a_reading(0, venous=90, pump=200, minute=3),
        a_reading(0, minute=60),
        a_reading(0, venous=None, minute=22),
    ]
    assert found([*others, *STEPS][::-1]) == tuple(STEPS)
    test = measured([*others, *STEPS])
    assert test is not None
    assert test.intercept_mmhg == pytest.approx(made(NOISY).intercept_mmhg)


def test_of_two_step_tests_the_last_counts() -> None:
    again = [replace(one, id=f"again {one.id}", minute=one.minute + 60) for one in STEPS]
    assert found([*STEPS, *again]) == tuple(again)


@pytest.mark.parametrize(
    "readings",
    [
        [],
        STEPS[:2],
        [replace(one, minute=one.minute * 10) for one in STEPS],  # Spread over half an hour.
        [replace(one, gauge=15 + number % 2) for number, one in enumerate(STEPS)],
        [a_reading(0, venous=90, pump=200, minute=3), a_reading(0, venous=150, minute=8), a_reading(0, minute=60)],
    ],
)
def test_other_readings_are_no_step_test(readings: list[object]) -> None:
    assert found(readings) == ()  # type: ignore[arg-type]
    assert measured(readings) is None  # type: ignore[arg-type]


def test_readings_of_two_treatments_are_refused() -> None:
    with pytest.raises(Refused, match="within one treatment"):
        found([*STEPS, a_reading(2)])
