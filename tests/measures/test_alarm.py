"""The alarm of falling flow: what is asked about at once, what makes a doubt real, and what ends it.

The limits of the shares on lasting falls are those the program promises; all runs are simulation, no patient data.
"""

import math

import numpy as np
import pytest

from access.measures.alarm import Alarm, Watched, watch
from access.measures.operating import cut
from access.measures.series import Series, asked_at, series, side_by_side, table
from access.measures.trend import fit
from access.measures.units import DAYS_A_YEAR
from tests.measures.any_series import monthly

LIMIT, CV, RUNS, BEFORE = 600.0, 0.142, 500, 12  # CV of ultrasound dilution between sessions (ndt-2005).
CUT = cut("flow alone", spread=CV).value
MONTH, DAY = 1 / 12, 1 / DAYS_A_YEAR
TOLD = ("asked", "first", "low_again", "overdue")
STEADY = [1000.0] * 6


def watched(one: Series, *, limit: float = LIMIT, on_request: list[bool] | bool = False) -> Watched:
    return watch(side_by_side([one]), limit_ml_min=limit, on_request=on_request)


def flows(ml_min: list[float], *, years: list[float] | None = None, changed_at: int | None = None) -> Series:
    """Flows of one access, a month apart where not said otherwise; the vessel changed before one of them."""
    at, values = np.array(years or np.arange(len(ml_min)) * MONTH), np.log(np.array(ml_min, dtype=float))
    resets = np.arange(len(at)) == (-1 if changed_at is None else changed_at)
    return series(at, measured=values, variances=CV**2, resets=resets, jumps=np.where(resets, 0.3, 0.0))


def rows(flags: np.ndarray) -> list[int]:
    """The rows of one access in which something is so."""
    return [int(one) for one in np.flatnonzero(flags[:, 0])]


def a_fall(to_ml_min: float, *, repeat_days: float | None, noise: float = 1.0) -> tuple[Watched, int]:
    """500 accesses at 1000 for a year, then lastingly lower; a second measurement on request, or a month later."""
    draw = np.random.default_rng(31)
    second = (BEFORE + 1) * MONTH if repeat_days is None else BEFORE * MONTH + repeat_days * DAY
    years = np.append(np.arange(BEFORE + 1) * MONTH, second)
    truth = np.where(np.arange(len(years)) < BEFORE, math.log(1000), math.log(to_ml_min))
    seen = truth[:, None] + noise * CV * draw.normal(size=(len(years), RUNS))
    requested = np.arange(len(years)) == (BEFORE + 1 if repeat_days else -1)
    return watch(table(years, measured=seen, variances=CV**2), limit_ml_min=LIMIT, on_request=requested), BEFORE


def by_the_second(found: Watched, row: int) -> float:
    return float(found.flagged(CUT)[row : row + 2].any(axis=0).mean())


def at_once(found: Watched, row: int) -> float:
    return float((found.asked | found.flagged(CUT))[row].mean())


@pytest.mark.parametrize("repeat_days", [2.0, 3.0])
@pytest.mark.parametrize("to_ml_min", [450, 350, 250])
def test_a_large_fall_is_asked_about_at_once_and_flagged_by_the_repeat(to_ml_min: float, repeat_days: float) -> None:
    found, row = a_fall(to_ml_min, repeat_days=repeat_days)
    assert at_once(found, row) >= 0.95
    assert by_the_second(found, row) >= 0.95


def test_a_smaller_fall_is_flagged_by_the_next_monthly_measurement() -> None:
    found, row = a_fall(640, repeat_days=None)
    assert by_the_second(found, row) >= 0.70
    assert (found.score[row : row + 2] >= CUT).any(axis=0).mean() >= 0.65  # By the trend itself, doubt or no doubt.


@pytest.mark.parametrize("repeat_days", [2.0, None])
def test_a_larger_fall_is_never_flagged_less_often_than_a_smaller_one(repeat_days: float | None) -> None:
    found = [a_fall(to, repeat_days=repeat_days) for to in (800, 640, 550, 450, 350, 250, 120)]
    for shares in ([at_once(*one) for one in found], [by_the_second(*one) for one in found]):
        error = np.sqrt(2 * 0.25 / RUNS)
        assert (np.diff(shares) >= -2 * error).all(), shares
        assert shares[-1] > shares[0] + 0.3  # So that there was something to tell apart.


@pytest.mark.parametrize("to_ml_min", [640, 450, 350, 250])
def test_without_noise_every_fall_is_flagged_by_the_second_measurement(to_ml_min: float) -> None:
    assert by_the_second(*a_fall(to_ml_min, repeat_days=None, noise=0.0)) == 1
    if to_ml_min < 640:
        assert by_the_second(*a_fall(to_ml_min, repeat_days=2.0, noise=0.0)) == 1


def test_a_steady_flow_is_seldom_flagged() -> None:
    found, row = a_fall(1000, repeat_days=2.0)
    assert found.flagged(CUT)[:row].any(axis=0).mean() < 0.10
    assert found.asked[:row].sum() / RUNS < 0.1  # Repeats asked for, a patient and year.


def test_one_far_too_low_measurement_is_asked_about_and_does_not_flag() -> None:
    found = watched(flows([*STEADY, 350]))
    assert rows(found.asked) == [6]
    assert not found.first.any()
    assert not found.flagged(CUT).any()
    assert math.exp(found.state.level[6, 0]) > 800  # The level alone would still soothe.
    assert found.outlier[6, 0] > 0.9


def test_a_repeat_that_is_low_again_makes_both_real() -> None:
    found = watched(flows([*STEADY, 350, 360], years=[*np.arange(7) * MONTH, 6 * MONTH + 2 * DAY]))
    assert rows(found.low_again) == [7]
    assert rows(found.flagged(CUT)) == [7]
    assert math.exp(found.state.level[7, 0]) < LIMIT
    real = series(
        [*np.arange(7) * MONTH, 6 * MONTH + 2 * DAY],
        measured=np.log([*STEADY, 350, 360]),
        variances=CV**2,
        certain=[False] * 6 + [True] * 2,
        resets=[False] * 6 + [True, False],  # It fell at once: the level has jumped.
    )
    assert found.state.level[7, 0] == pytest.approx(float(fit(real).newest.level[0]), abs=1e-12)


def test_what_is_real_is_not_asked_about_again() -> None:
    even_lower = watched(flows([*STEADY, 350, 150], years=[*np.arange(7) * MONTH, 6 * MONTH + 2 * DAY]))
    assert rows(even_lower.low_again) == [7]
    assert rows(even_lower.asked) == [6]
    assert even_lower.outlier[7, 0] == 0
    assert rows(watched(flows([550, 540])).asked) == [0]


def test_a_repeat_that_is_usual_ends_the_doubt() -> None:
    years = [*np.arange(7) * MONTH, 6 * MONTH + 2 * DAY, 6 * MONTH + 30 * DAY]
    one = flows([*STEADY, 350, 1000, 980], years=years)
    found = watched(one)
    assert rows(found.asked) == [6]
    assert not (found.low_again | found.overdue | found.flagged(CUT)).any()
    assert math.exp(found.state.level[8, 0]) == pytest.approx(1000, rel=0.05)


@pytest.mark.parametrize(("days", "real"), [(0.0, False), (6.9, False), (7.1, True), (40.0, True)])
def test_a_doubt_without_a_repeat_becomes_real_when_it_is_due_and_not_before(days: float, real: bool) -> None:
    one, (row,) = asked_at(flows([*STEADY, 350]), years=[6 * MONTH + days * DAY])
    found = watched(one)
    assert rows(found.overdue) == ([row] if real else [])
    assert rows(found.flagged(CUT)) == ([row] if real else [])
    assert (math.exp(found.state.level[row, 0]) < 700) == real  # Over 800 while in doubt.
    assert np.isnan(found.score[row, 0])  # Nothing was measured: no trend speaks.


def test_it_is_told_until_it_is_answered_and_by_the_days_that_are_given() -> None:
    one, places = asked_at(flows([*STEADY, 350]), years=[6 * MONTH + days * DAY for days in (8, 12, 20)])
    batch = side_by_side([one])
    assert rows(watch(batch, limit_ml_min=LIMIT).overdue) == list(places)
    later = watch(batch, limit_ml_min=LIMIT, due_years=batch.years + 10 * DAY)  # Two treatments after ten days.
    assert rows(later.overdue) == list(places[1:])


@pytest.mark.parametrize("days_after", [3, 30])
@pytest.mark.parametrize("after", [500, 1100])
def test_a_change_of_the_vessel_ends_a_doubt_also_one_that_would_be_due(days_after: float, after: float) -> None:
    years = [*np.arange(7) * MONTH, 6 * MONTH + days_after * DAY]
    found = watched(flows([*STEADY, 350, after], years=years, changed_at=7))
    assert rows(found.asked)[0] == 6
    assert not (found.low_again | found.overdue | found.flagged(CUT)).any()
    assert rows(found.first) == ([7] if after < LIMIT else [])  # A new doubt, of the vessel as it is now.


@pytest.mark.parametrize("number", [0, 1])
def test_a_first_or_second_value_below_the_limit_is_asked_about_at_once(number: int) -> None:
    for low in (550.0, 400.0, 250.0, 100.0):
        found = watched(flows([900.0][:number] + [low]))
        assert rows(found.asked) == [number]
        assert np.isnan(found.score).all()
        assert not found.flagged(CUT).any()


def test_two_first_values_below_the_limit_flag_and_one_above_does_not() -> None:
    assert rows(watched(flows([550, 540])).flagged(CUT)) == [1]
    assert rows(watched(flows([550, 540])).low_again) == [1]
    assert not watched(flows([550, 700])).flagged(CUT).any()
    assert not watched(flows([650, 640])).asked.any()
    assert not watched(flows([550, 540]), limit=math.nan).asked.any()  # No limit, nothing below it.


def test_a_first_value_below_the_limit_that_is_not_repeated_is_no_trend() -> None:
    one, _ = asked_at(flows([550.0]), years=[0.5])
    found = watched(one)
    assert rows(found.first) == [0]
    assert not found.overdue.any()


def test_the_first_value_after_a_change_is_asked_about_below_the_limit() -> None:
    found = watched(flows([*STEADY, 520, 510, 500], changed_at=6))
    assert rows(found.first) == [6]
    assert np.isnan(found.score[6, 0])  # Too soon for a trend.
    assert rows(found.low_again) == [7]


@pytest.mark.parametrize("earlier", [0, 5])
def test_a_normal_repeat_is_not_low_again_where_no_level_of_its_own_was_known(earlier: int) -> None:
    # 310, then 900: after an intervention, or at first, only the limit tells low again from a wrong value.
    before = 1000.0 if earlier else 310.0
    years, flows = [0.1 * number for number in range(earlier)], [before] * earlier
    begin = 0.1 * earlier
    one = series(
        [*years, begin, begin + 0.02],
        measured=np.log([*flows, 310, 900]),
        variances=0.142**2,
        resets=[*[False] * earlier, bool(earlier), False],
        jumps=[*[0.0] * earlier, 0.3 * bool(earlier), 0.0],
    )
    seen = watch(side_by_side([one]), limit_ml_min=600)
    assert seen.asked[-2, 0] and not seen.low_again[-1, 0] and not seen.real.any()


def test_a_high_measurement_is_never_asked_about() -> None:
    found = watched(flows([*STEADY, 3000]))
    assert found.outlier[6, 0] > 0.9
    assert not (found.asked | found.flagged(CUT)).any()


def test_no_trend_speaks_before_three_measurements_nor_at_the_first_after_a_change() -> None:
    found = watched(flows([900, 890, 880, 870, 860, 850], changed_at=4))
    assert np.isnan(found.score[:, 0]).tolist() == [True, True, False, False, True, False]
    gaps = watched(monthly([6.9, np.nan, 6.9, np.nan, 6.9, np.nan]))
    assert np.isnan(gaps.score[:, 0]).tolist() == [True, True, True, True, False, True]
    more = watch(side_by_side([flows(STEADY)]), limit_ml_min=LIMIT, alarm=Alarm(least=5))
    assert np.isnan(more.score[:, 0]).tolist() == [True] * 4 + [False] * 2


def test_a_normal_measurement_after_an_overdue_one_takes_it_back() -> None:
    found = watched(flows([*STEADY, 350, 1000]))
    assert rows(found.overdue) == [7]
    assert not found.real.any()
    assert math.exp(found.state.level[7, 0]) > 850


def test_what_proved_real_is_told_and_the_level_follows_a_fall_at_once() -> None:
    found = watched(flows([*STEADY, 350, 360], years=[*np.arange(7) * MONTH, 6 * MONTH + 2 * DAY]))
    assert rows(found.real) == [6, 7]
    assert rows(found.fell) == [6]
    level, half = found.state.level[7, 0], 1.645 * math.sqrt(found.state.level_variance[7, 0])
    assert math.exp(level - half) < 355 < math.exp(level + half)
