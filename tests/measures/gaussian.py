"""The trend without wild measurements, once more: all rows conditioned at once on all measurements, by SciPy.

Nothing of the program's filter is used: the joint distribution of all levels and slopes is written down and conditioned
on what was measured. It is slow and knows no outliers; it is there to be agreed with.
"""

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from access.measures.hydraulics import Values
from access.measures.series import Series
from access.measures.trend import Trend


@dataclass(frozen=True, kw_only=True)
class Joint:
    """Level and slope of each row, level before slope: means (2 n,) and covariance (2 n, 2 n)."""

    mean: Values
    covariance: Values


def prior(one: Series, *, used: Trend) -> Joint:
    """Before anything is measured: x_k = F_k x_(k-1) + c_k + w_k from the first measurement on, x_0 before it."""
    rows, first = len(one), int(np.argmax(np.isfinite(one.variances)))
    spread = np.zeros((2 * rows, 2 * rows))
    spread[:2, :2] = np.diag([used.prior_level_sd**2, used.prior_slope_sd**2])
    mean, carried = np.zeros(2 * rows), np.eye(2 * rows)
    mean[0] = used.prior_level
    for row in range(1, rows):
        reset = bool(one.resets[row]) and row > first
        years = float(one.years[row] - one.years[row - 1]) if row > first else 0.0
        keeps, here, before = 1.0 - reset, slice(2 * row, 2 * row + 2), slice(2 * row - 2, 2 * row)
        step = np.array([[1.0, years], [0.0, keeps]])
        noise = np.array([[years**3 / 3, keeps * years**2 / 2], [keeps * years**2 / 2, keeps * years]])
        new = np.diag([used.jump_sd**2, used.prior_slope_sd**2]) * reset
        spread[here, here] = used.slope_drift * noise + new
        carried[here] += step @ carried[before]
        mean[here] = step @ mean[before] + [reset * one.jumps[row], 0.0]
    return Joint(mean=mean, covariance=carried @ spread @ carried.T)


def conditioned(one: Series, *, used: Trend, rows: int | None = None) -> Joint:
    """All rows in the light of the measurements of the first rows only, or of all."""
    known = prior(one, used=used)
    measured = np.flatnonzero(np.isfinite(one.variances[:rows]))
    seen = known.covariance[:, 2 * measured]
    among = seen[2 * measured] + np.diag(np.maximum(one.variances[measured], used.least_sd**2))
    gain = linalg.cho_solve(linalg.cho_factor(among), seen.T).T
    return Joint(
        mean=known.mean + gain @ (one.values[measured] - known.mean[2 * measured]),
        covariance=known.covariance - gain @ seen.T,
    )
