"""The trend of one access in plain Python, number by number: what the batch is timed against, and agrees with.

Filter with wild measurements, smoother, and covariance with the last level; changes of the vessel are left out.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from access.measures.trend import Trend

USUAL = Trend()
State = tuple[float, float, float, float, float]  # Level, slope, variance, covariance, variance of the slope.


@dataclass(frozen=True, kw_only=True)
class ScalarFit:
    """Row by row: filtered, smoothed, P(wild), covariance with the last level."""

    filtered: list[State]
    smoothed: list[State]
    outlier: list[float]
    with_last: list[float]


def moved_on(now: State, *, years: float, used: Trend) -> State:
    """A state after some time."""
    level, slope, p00, p01, p11 = now
    across = p01 + years * p11
    return (
        level + years * slope,
        slope,
        p00 + years * (p01 + across) + used.slope_drift * years**3 / 3,
        across + used.slope_drift * years**2 / 2,
        p11 + used.slope_drift * years,
    )


def taken_in(now: State, *, value: float, variance: float, used: Trend) -> tuple[State, float]:
    """A state with a measurement, by the Gaussian update of each of the two ways in which it may have come about."""
    level, slope, p00, p01, p11 = now
    gap, near = value - level, p00 + variance
    far = near + used.outlier_sd**2
    likely = (1 - used.outlier_share) * math.exp(-0.5 * gap**2 / near) / math.sqrt(near)
    wild = used.outlier_share * math.exp(-0.5 * gap**2 / far) / math.sqrt(far)
    share = wild / (likely + wild)
    told = (1 - share) / near + share / far
    gain = told * gap
    told -= share * (1 - share) * (gap / near - gap / far) ** 2
    kept = 1 - p00 * told
    return (level + p00 * gain, slope + p01 * gain, p00 * kept, p01 * kept, p11 - p01**2 * told), share


def smoothed(
    here: State, *, later: State, last: tuple[float, float], years: float, used: Trend
) -> tuple[State, float, float]:
    """A filtered state in the light of the smoothed one after it; and the covariance with the last level."""
    level, slope, p00, p01, p11 = here
    ahead_level, ahead_slope, m00, m01, m11 = moved_on(here, years=years, used=used)
    whole, a, c = m00 * m11 - m01**2, p00 + years * p01, p01 + years * p11
    g00, g01 = (a * m11 - p01 * m01) / whole, (p01 * m00 - a * m01) / whole
    g10, g11 = (c * m11 - p11 * m01) / whole, (p11 * m00 - c * m01) / whole
    up, steeper = later[0] - ahead_level, later[1] - ahead_slope
    d00, d01, d11 = later[2] - m00, later[3] - m01, later[4] - m11
    first, second = g00 * d00 + g01 * d01, g00 * d01 + g01 * d11
    state = (
        level + g00 * up + g01 * steeper,
        slope + g10 * up + g11 * steeper,
        p00 + first * g00 + second * g01,
        p01 + first * g10 + second * g11,
        p11 + g10**2 * d00 + 2 * g10 * g11 * d01 + g11**2 * d11,
    )
    return state, g00 * last[0] + g01 * last[1], g10 * last[0] + g11 * last[1]


def scalar_fit(years: Sequence[float], *, measured: Sequence[float], variance: float, used: Trend = USUAL) -> ScalarFit:
    """The trend of one access that begins with a measurement; nan where nothing was measured later."""
    now: State = (used.prior_level, 0.0, used.prior_level_sd**2, 0.0, used.prior_slope_sd**2)
    filtered, outlier, begun = [], [], False
    for row, value in enumerate(measured):
        if begun:
            now = moved_on(now, years=years[row] - years[row - 1], used=used)
        wild = 0.0
        if not math.isnan(value):
            now, wild = taken_in(now, value=value, variance=variance, used=used)
            begun = True
        filtered.append(now)
        outlier.append(wild)
    back, with_last, last = [now], [now[2]], (now[2], now[3])
    for row in range(len(filtered) - 2, -1, -1):
        passed = years[row + 1] - years[row]
        state, *last_two = smoothed(filtered[row], later=back[-1], last=last, years=passed, used=used)
        last = (last_two[0], last_two[1])
        back.append(state)
        with_last.append(last[0])
    return ScalarFit(filtered=filtered, smoothed=back[::-1], outlier=outlier, with_last=with_last[::-1])
