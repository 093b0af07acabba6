"""The trend for one access or many: the same numbers whatever stands beside it, honest doubt, and what it foretells.

Figures on drawn series are simulation, no patient data.
"""

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from access.measures.hydraulics import Values
from access.measures.series import Series, asked_at, series, side_by_side, table
from access.measures.smoother import NAMES
from access.measures.trend import (
    Fit,
    State,
    Trend,
    fit,
    horizon,
    newest,
    probability_below,
    probability_fallen,
    probability_of_fall,
)
from tests.measures.any_series import any_series, monthly
from tests.measures.gaussian import conditioned
from tests.measures.scalar_trend import scalar_fit

ROOT = Path(__file__).resolve().parents[2]


def columns(found: Fit) -> dict[str, Values]:
    """All numbers of a fit by name."""
    states = {"filtered": found.filtered, "smoothed": found.smoothed}
    parts = {f"{which} {name}": getattr(state, name) for which, state in states.items() for name in NAMES}
    return parts | {"outlier": found.outlier, "with_last": found.with_last}


def many(seed: int, count: int = 40) -> list[Series]:
    draw = np.random.default_rng(seed)
    return [any_series(draw, rows=int(rows)) for rows in draw.integers(0, 30, count)]


def test_a_batch_is_its_accesses_one_by_one_in_the_order_given() -> None:
    given = many(1)
    together = columns(fit(given))
    for column, one in enumerate(given):
        for name, alone in columns(fit(one)).items():
            rows = len(one)
            np.testing.assert_allclose(
                together[name][len(together[name]) - rows :, column], alone[-rows:, 0][:rows], atol=1e-13
            )
            assert np.isnan(together[name][: len(together[name]) - rows, column]).all()


def test_another_order_of_the_accesses_changes_nothing_but_the_order() -> None:
    given, order = many(2), np.random.default_rng(3).permutation(40)
    straight, turned = columns(fit(given)), columns(fit([given[one] for one in order]))
    for name in straight:
        np.testing.assert_array_equal(straight[name][:, order], turned[name])


def test_a_longer_neighbour_changes_nothing() -> None:
    one, long = any_series(np.random.default_rng(4), rows=9), any_series(np.random.default_rng(5), rows=80)
    alone, beside = columns(fit(one)), columns(fit([one, long]))
    for name in alone:
        np.testing.assert_allclose(beside[name][-9:, 0], alone[name][:, 0], atol=1e-13)


def test_blocks_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    given = side_by_side(many(6))
    whole, last = columns(fit(given)), newest(given)
    monkeypatch.setattr("access.measures.series.Batch.blocks.__defaults__", (7,))
    for name, column in columns(fit(given)).items():
        np.testing.assert_array_equal(column, whole[name])
    for name in NAMES:
        np.testing.assert_array_equal(getattr(newest(given), name), getattr(last, name))


@pytest.mark.parametrize("seed", range(5))
def test_a_missing_measurement_is_as_good_as_none(seed: int) -> None:
    one = replace(any_series(np.random.default_rng(seed)), resets=np.zeros(24, dtype=bool), jumps=np.zeros(24))
    made = np.isfinite(one.variances)
    assert 0 < made.sum() < 24
    without = Series(**{field.name: getattr(one, field.name)[made] for field in fields(one)})
    all_rows, made_rows = columns(fit(one)), columns(fit(without))
    last = int(np.flatnonzero(made)[-1])
    for name in NAMES:
        np.testing.assert_allclose(all_rows[f"filtered {name}"][made], made_rows[f"filtered {name}"], atol=1e-12)
        np.testing.assert_allclose(all_rows[f"smoothed {name}"][made], made_rows[f"smoothed {name}"], atol=1e-11)
    assert all_rows["filtered level"][last, 0] == pytest.approx(float(made_rows["filtered level"][-1, 0]), abs=1e-12)


def test_flows_all_larger_by_a_factor_have_a_level_higher_by_its_logarithm() -> None:
    one, shift, used = any_series(np.random.default_rng(7)), float(np.log(1.7)), Trend()
    before = columns(fit(one))
    after = columns(
        fit(replace(one, values=one.values + shift), parameters=replace(used, prior_level=used.prior_level + shift))
    )
    for name in before:
        moved = shift if name.endswith(" level") else 0.0
        np.testing.assert_allclose(after[name], before[name] + moved, atol=1e-12)


def test_the_newest_state_is_the_last_row_of_the_fit_and_of_the_smoother() -> None:
    given = [one for one in many(8) if len(one)]
    found, last = fit(given), newest(given)
    for name in NAMES:
        np.testing.assert_array_equal(getattr(last, name), getattr(found.newest, name))
        np.testing.assert_array_equal(getattr(found.smoothed, name)[-1], getattr(found.newest, name))


def test_nothing_one_and_many_measurements_are_all_answered() -> None:
    nothing = fit(series([], measured=[], variances=0.02))
    assert np.isnan(nothing.newest.level).all()
    assert np.isnan(probability_below(nothing, 600)).all()
    assert np.isnan(horizon(nothing, 600).crossing_years).all()  # Unknown is not "beyond five years".
    assert fit([]).newest.level.shape == (0,)
    unmeasured = fit(series([0.0, 9.0], measured=[np.nan, np.nan], variances=0.02))
    assert unmeasured.newest.level_variance.tolist() == [pytest.approx(Trend().prior_level_sd ** 2)]
    single = fit(series([3.0], measured=[np.log(500)], variances=0.02))
    assert np.log(500) < single.newest.level[0] < np.log(1000)
    daily = fit(series(np.arange(1000) / 365.25, measured=np.full(1000, np.log(500)), variances=0.02))
    assert np.exp(daily.newest.level[0]) == pytest.approx(500, rel=0.001)
    after_ten_years = fit(series([0, 10], measured=[np.log(1000), np.log(300)], variances=0.02))
    assert np.exp(after_ten_years.newest.level[0]) == pytest.approx(300, rel=0.01)


def test_it_is_likelier_below_a_higher_limit_and_never_more_than_sure() -> None:
    found = fit(many(9)[-1])
    likely = np.array([probability_below(found, limit) for limit in range(50, 3000, 50)])
    assert (np.diff(likely, axis=0) >= 0).all()
    assert ((likely >= 0) & (likely <= 1)).all()
    by_access = probability_below(fit(many(9)), np.linspace(300, 900, 40))
    assert by_access[-1, 7] == probability_below(fit(many(9)[7]), 300 + 7 * 600 / 39)[-1, 0]


def test_probabilities_are_those_of_a_normal_level_and_slope() -> None:
    found = fit(any_series(np.random.default_rng(10)))
    last = found.newest
    level, slope = norm(last.level, np.sqrt(last.level_variance)), norm(last.slope, np.sqrt(last.slope_variance))
    assert probability_below(found, 600)[-1] == pytest.approx(level.cdf(np.log(600)))
    # A fall of a quarter in four months is a slope of log(0.75) a third of a year.
    assert probability_of_fall(found)[-1] == pytest.approx(slope.cdf(3 * np.log(0.75)))
    assert probability_below(last, 600) == pytest.approx(probability_below(found, 600)[-1])


def test_what_has_fallen_is_told_from_both_levels_together() -> None:
    one, places = asked_at(any_series(np.random.default_rng(11), missing=0), years=[1.5])
    used, row = Trend(outlier_share=0.0), int(places[0])
    found, joint = fit(one, parameters=used), conditioned(one, used=used)
    difference = np.zeros(2 * len(one))
    difference[[2 * row, -2]] = 1.0, -1.0
    spread = float(np.sqrt(difference @ joint.covariance @ difference))
    for fraction in (0.1, 0.25, 0.5):
        outside = norm.cdf((difference @ joint.mean + np.log(1 - fraction)) / spread)
        assert probability_fallen(found, since_row=row, fraction=fraction)[0] == pytest.approx(outside, abs=1e-9)
    assert probability_fallen(found, since_row=len(one) - 1, fraction=0.25)[0] == 0


def state(level: float, slope: float, *, level_sd: float = 0.07, slope_sd: float = 0.2, together: float = 0.0) -> State:
    """What is known of one access, typed in."""
    covariance = together * level_sd * slope_sd
    known = zip(NAMES, (level, slope, level_sd**2, covariance, slope_sd**2), strict=True)
    return State(**{name: np.array([value]) for name, value in known})


def test_the_horizon_is_that_of_the_drift_drawn_step_by_step() -> None:
    # Outside: 100,000 futures of level and slope, drawn in steps of a month; agreement within four standard errors.
    draw, now = np.random.default_rng(12), state(np.log(800), -0.3, together=0.5)
    spread = np.array([[now.level_variance[0], now.covariance[0]], [now.covariance[0], now.slope_variance[0]]])
    level, slope = draw.multivariate_normal([now.level[0], now.slope[0]], spread, 100_000).T
    step, drift, shares = 1 / 12, Trend().slope_drift, []
    noise = np.linalg.cholesky(drift * np.array([[step**3 / 3, step**2 / 2], [step**2 / 2, step]]))
    for month in range(1, 13):
        moved = noise @ draw.normal(size=(2, len(level)))
        level, slope = level + step * slope + moved[0], slope + moved[1]
        if month in (3, 6, 12):
            shares.append(float(np.mean(level < np.log(600))))
    assert horizon(now, 600).below[:, 0] == pytest.approx(shares, abs=4 * np.sqrt(0.25 / 100_000))


def test_the_horizon_grows_with_the_limit_and_its_crossings_come_in_turn() -> None:
    falling = state(np.log(900), -0.4)
    ahead = [horizon(falling, limit) for limit in (400, 500, 600, 700, 800)]
    assert (np.diff([one.below[:, 0] for one in ahead], axis=0) > 0).all()
    assert (np.diff(ahead[2].below[:, 0]) > 0).all()  # A falling flow is below sooner or later.
    crossings = np.array([one.crossing_years[:, 0] for one in ahead])
    assert (crossings[:, 1:] >= crossings[:, :-1]).all()  # 10 % before 50 % before 90 %.
    assert (crossings[1:] <= crossings[:-1]).all()  # A higher limit is passed no later.


def test_a_crossing_is_where_the_curve_passes_the_share() -> None:
    # The mean passes the limit after log(900/600)/0.4 = 1.014 years: half of the futures are below then.
    crossing = horizon(state(np.log(900), -0.4), 600).crossing_years[:, 0]
    assert crossing[1] == pytest.approx(np.log(900 / 600) / 0.4, abs=1 / 24)
    assert crossing[0] < crossing[1] < crossing[2]


def test_what_is_past_is_crossed_now_and_what_never_comes_is_infinite() -> None:
    assert horizon(state(np.log(300), -0.4), 600).crossing_years[:, 0].tolist() == [0, 0, 0]
    rising = horizon(state(np.log(2000), 3.0, slope_sd=0.01), 600)
    assert rising.crossing_years[:, 0].tolist() == [np.inf] * 3
    assert rising.below.max() < 1e-6
    assert (horizon(state(np.log(900), 0.0), 600).below[:, 0] > 0).all()


def test_the_horizon_of_a_fit_uses_its_own_drift() -> None:
    one = monthly([6.9, 6.8, 6.7, 6.6])
    wide, narrow = (horizon(fit(one, parameters=Trend(slope_drift=drift)), 300).below[2, 0] for drift in (2.0, 0.01))
    assert wide > narrow


def best_seconds(work: Callable[[], object], *, times: int) -> float:
    """The shortest of a few runs: what disturbs a measurement only ever lengthens it."""
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return min(seconds)


def test_ten_thousand_at_once_cost_each_a_twenty_fifth_of_a_plain_loop_or_less() -> None:
    draw, years = np.random.default_rng(13), np.arange(24) / 12
    measured = np.log(1000) + draw.normal(0, 0.13, (24, 10_000))
    batch, alone = table(years, measured=measured, variances=0.02), measured[:, :100].T.tolist()
    ratios = []
    for _ in range(3):  # Beside other work on the machine, one quiet moment is enough for both.
        plain = best_seconds(
            lambda: [scalar_fit(years.tolist(), measured=one, variance=0.02) for one in alone], times=3
        )
        ratios.append(plain / 100 / (best_seconds(lambda: fit(batch), times=5) / 10_000))
    assert max(ratios) >= 25
    outside = scalar_fit(years.tolist(), measured=alone[7], variance=0.02)
    assert [row[0] for row in outside.smoothed] == pytest.approx(fit(batch).smoothed.level[:, 7].tolist(), abs=1e-10)


MEMORY = """
import resource
import numpy as np
from access.measures.series import table
from access.measures.trend import newest
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
accesses = {accesses}
measured = np.full((24, accesses), 6.9)
batch = table(np.arange(24) / 12, measured=measured, variances=0.02)
inputs = sum(one.nbytes for one in (measured, batch.values, batch.weights))
assert np.isfinite(newest(batch).level).all()
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024 / inputs)
"""


def test_a_hundred_thousand_take_little_more_memory_than_what_was_measured() -> None:
    run = [sys.executable, "-c", MEMORY.format(accesses=100_000)]
    said = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert float(said) < 2  # 1.4 when this was written; a copy of every row kept would be 7.


def test_the_worked_examples_of_the_book_of_formulas_come_out() -> None:
    found = fit(monthly([float(one) for one in np.log([900, 820, 860, 700, 640, 610])], sd=0.142))
    last, half = found.newest, float(norm.ppf(0.95) * np.sqrt(found.newest.level_variance[0]))
    level = float(last.level[0])
    assert [round(float(np.exp(one))) for one in (level, level - half, level + half)] == [669, 578, 774]
    fallen = probability_fallen(found, since_row=1, fraction=0.25)
    likely = [probability_below(last, 600), probability_of_fall(last), fallen, *horizon(found, 600).below]
    assert [round(float(one[0]), 2) for one in likely] == [0.11, 0.27, 0.15, 0.59, 0.73, 0.78]
    assert horizon(found, 600).crossing_years[:, 0].tolist() == pytest.approx([0, 5 / 24, np.inf])


@pytest.mark.parametrize(
    ("flows", "share", "levels"),
    [
        ([450, 1000, 1000], 0.04, [976, 987, 992]),  # A lone one is passed over ...
        ([600, 600, 600, 600], 0.04, [965, 755, 622, 585]),  # ... and a lasting fall believed at the second.
        ([450, 1000, 1000, 1000], 0.0, [703, 776, 847, 909]),
    ],
)
def test_a_lone_low_flow_is_passed_over_and_a_lasting_one_believed(
    flows: list[float], share: float, levels: list[int]
) -> None:
    found = fit(monthly([float(one) for one in np.log([1000] * 12 + flows)]), parameters=Trend(outlier_share=share))
    assert np.exp(found.filtered.level[12:, 0]).round().tolist() == levels
