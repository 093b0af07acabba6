"""Invented measurements with everything that happens to them: gaps, repeats on one day, changes of the vessel."""

import numpy as np
from numpy.random import Generator

from access.measures.series import Series, series

NO_OUTLIERS = 0.0
VARIANCES = (0.01, 0.02, 0.03)


def any_series(draw: Generator, *, rows: int = 24, missing: float = 0.2, wild: float = 0.1) -> Series:
    """Log flows over about two years: irregular, some missing, two on one day, some changes, some far off."""
    years = np.sort(draw.uniform(0, 2, rows).round(2))
    if rows > 4:
        years[4] = years[3]
    level = np.log(draw.uniform(400, 1500)) + np.cumsum(draw.normal(0, 0.05, rows))
    measured = level + draw.normal(0, 0.12, rows) + (draw.random(rows) < wild) * draw.normal(-0.5, 0.5, rows)
    measured[draw.random(rows) < missing] = np.nan
    resets = draw.random(rows) < 0.1
    return series(
        years,
        measured=measured,
        variances=draw.choice(VARIANCES, rows),
        resets=resets,
        jumps=np.where(resets, 0.3, 0.0),
        certain=draw.random(rows) < 0.05,
    )


def monthly(measured: list[float] | np.ndarray, *, sd: float = 0.1) -> Series:
    """One measurement a month; nan where one was missed."""
    return series(np.arange(len(measured)) / 12, measured=measured, variances=sd**2)
