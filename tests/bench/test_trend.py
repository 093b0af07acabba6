"""What a trend costs, one or a million, beside general libraries: printed, gating nothing. Run by name, with -s.

The ratio to a plain Python loop is held in tests/measures/test_trend.py.
"""

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from filterpy.kalman import KalmanFilter
from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother
from statsmodels.tsa.statespace.structural import UnobservedComponents

from access.measures.alarm import watch
from access.measures.hydraulics import Values
from access.measures.series import table
from access.measures.trend import Trend, fit, newest
from tests.measures.scalar_trend import scalar_fit

ROOT = Path(__file__).resolve().parents[2]
ROWS, MONTH, VARIANCE, USED = 24, 1 / 12, 0.02, Trend()
YEARS = np.arange(ROWS) * MONTH
STEP = np.array([[1.0, MONTH], [0.0, 1.0]])
NOISE = USED.slope_drift * np.array([[MONTH**3 / 3, MONTH**2 / 2], [MONTH**2 / 2, MONTH]])
BEFORE = np.diag([USED.prior_level_sd**2, USED.prior_slope_sd**2])


def measured(accesses: int) -> Values:
    """Log flows of accesses measured monthly, (24, N)."""
    return 6.9 + np.random.default_rng(1).normal(0, 0.13, (ROWS, accesses))


def microseconds(work: Callable[[], object], *, each: int = 1, times: int = 7) -> float:
    """The shortest of a few runs, for one access."""
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return 1e6 * min(seconds) / each


def by_filterpy(one: Values) -> Values:
    """Filter and smoother, without the possibility of wild measurements."""
    kalman = KalmanFilter(dim_x=2, dim_z=1)
    kalman.x, kalman.P = np.array([[USED.prior_level], [0.0]]), BEFORE.copy()
    kalman.F, kalman.Q, kalman.H, kalman.R = STEP, NOISE, np.array([[1.0, 0.0]]), np.array([[VARIANCE]])
    means, spreads, _, _ = kalman.batch_filter(one[:, None], update_first=True)
    return np.asarray(kalman.rts_smoother(means, spreads)[0])


def by_statsmodels(one: Values) -> Values:
    """The same by the smoother that statsmodels builds on, its matrices given."""
    model = KalmanSmoother(k_endog=1, k_states=2, k_posdef=2)
    model.bind(one[:, None])
    model["design"], model["selection"], model["transition"] = np.array([[1.0, 0.0]]), np.eye(2), STEP
    model["obs_cov"], model["state_cov"] = np.array([[VARIANCE]]), NOISE
    model.initialize_known(np.array([USED.prior_level, 0.0]), BEFORE)
    return np.asarray(model.smooth().smoothed_state)


def by_components(one: Values) -> Values:
    """Its local linear trend with fixed variances: the level wanders too, since it takes no other drift."""
    model = UnobservedComponents(one, level="lltrend")
    return np.asarray(model.smooth([VARIANCE, NOISE[0, 0], NOISE[1, 1]]).smoothed_state)


def test_print_what_one_access_costs_among_many_and_elsewhere() -> None:
    one, many = measured(1), measured(10_000)
    single, batch = table(YEARS, measured=one, variances=VARIANCE), table(YEARS, measured=many, variances=VARIANCE)
    columns, years = many[:, :50].T.copy(), YEARS.tolist()
    plain = columns.tolist()
    costs = {
        "fit, 10,000 at once": microseconds(lambda: fit(batch), each=10_000),
        "newest, 10,000 at once": microseconds(lambda: newest(batch), each=10_000),
        "alarm, 10,000 at once": microseconds(lambda: watch(batch, limit_ml_min=600), each=10_000),
        "fit, one": microseconds(lambda: fit(single), times=50),
        "newest, one": microseconds(lambda: newest(single), times=50),
        "alarm, one": microseconds(lambda: watch(single, limit_ml_min=600), times=50),
        "plain Python": microseconds(
            lambda: [scalar_fit(years, measured=each, variance=VARIANCE) for each in plain], each=50
        ),
        "filterpy": microseconds(lambda: [by_filterpy(each) for each in columns], each=50),
        "statsmodels, smoother": microseconds(lambda: [by_statsmodels(each) for each in columns], each=50),
        "statsmodels, components": microseconds(lambda: [by_components(each) for each in columns[:10]], each=10),
    }
    print("\n24 measurements each            us an access    times the batch")
    for name, cost in costs.items():
        print(f"{name:28} {cost:15,.1f} {cost / costs['fit, 10,000 at once']:18,.0f}")
    # All are answers to one question: what each gives for the first access without wild measurements is the same.
    mine = fit(table(YEARS, measured=columns[0][:, None], variances=VARIANCE), parameters=Trend(outlier_share=0.0))
    np.testing.assert_allclose(by_statsmodels(columns[0])[0], mine.smoothed.level[:, 0], atol=1e-9)
    np.testing.assert_allclose(by_filterpy(columns[0])[:, 0, 0], mine.smoothed.level[:, 0], atol=1e-9)


MILLION = """
import resource, time
import numpy as np
from access.measures.series import table
from access.measures.trend import fit, newest
measured = np.full((24, 1_000_000), 6.9)
batch = table(np.arange(24) / 12, measured=measured, variances=0.02)
def said(name, start):
    gigabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 / 1e9
    print(f"{name:28} {time.perf_counter() - start:6.2f} s, at most {gigabytes:5.2f} GB")
    return gigabytes
start = time.perf_counter()
newest(batch)
said("newest of a million", start)
start = time.perf_counter()
for chosen, part in batch.blocks():
    fit(part)
assert said("fit of a million, in blocks", start) < 2.5
"""


def test_print_what_a_million_take() -> None:
    run = subprocess.run([sys.executable, "-c", MILLION], cwd=ROOT, capture_output=True, text=True, check=False)
    print("\n" + run.stdout)
    assert run.returncode == 0, run.stderr
