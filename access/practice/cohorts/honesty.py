"""Whether stated doubt is honest: probabilities against what happened, intervals against the true flow.

In simulation, no patient data. Flags and delays are in ``merit``.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from access.measures import Refused
from access.measures.hydraulics import Values, values
from access.practice.cohorts.cohort import Cohort, Flags
from access.practice.cohorts.merit import failing

EDGES = (0.0, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1.0)


@dataclass(frozen=True, kw_only=True)
class Bin:
    """Statements with a probability from ``low`` to below ``high``: what they said on average, and what came."""

    low: float
    high: float
    count: int
    predicted: float
    observed: float


def brier(probability: ArrayLike, *, happened: ArrayLike) -> float:
    """Mean squared error of stated probabilities (0 is perfect); those that are nan state nothing.

    Notes
    -----
    Mean of (p - o)^2 with o = 1 where it happened, else 0. A constant .5 gives .25.

    References
    ----------
    simulation
    """
    said, came = _stated(probability, happened)
    return float(np.mean((said - came) ** 2))


def reliability(probability: ArrayLike, *, happened: ArrayLike, edges: tuple[float, ...] = EDGES) -> tuple[Bin, ...]:
    """What was said against what happened, in bins; a bin in which nothing was stated is left out."""
    said, came = _stated(probability, happened)
    place = np.clip(np.searchsorted(edges, said, side="right") - 1, 0, len(edges) - 2)
    return tuple(
        Bin(
            low=edges[one],
            high=edges[one + 1],
            count=int(inside.sum()),
            predicted=float(said[inside].mean()),
            observed=float(came[inside].mean()),
        )
        for one in range(len(edges) - 1)
        if (inside := place == one).any()
    )


def _stated(probability: ArrayLike, happened: ArrayLike) -> tuple[Values, Values]:
    said, came = np.broadcast_arrays(values(probability), values(happened))
    known = np.isfinite(said) & np.isfinite(came)
    if not known.any():
        raise Refused("No probability was stated: there is nothing to hold against what happened.")
    if bool(np.any((said[known] < 0) | (said[known] > 1))):
        raise Refused("A probability lies between 0 and 1.")
    return said[known], came[known]


@dataclass(frozen=True, kw_only=True)
class Coverage:
    """Share of intervals that hold the true flow, in stable and in failing accesses; nan where there was none."""

    stable: float
    failing: float


def coverage(
    low_ml_min: ArrayLike,
    *,
    high_ml_min: ArrayLike,
    cohort: Cohort,
    from_measurement: int = 3,
    among: Flags | None = None,
) -> Coverage:
    """How often an interval (mL/min, (T, N)) holds what a test without error would have read on a usual day.

    Parameters
    ----------
    low_ml_min, high_ml_min : array_like, (T, N)
        Nan where nothing is stated.
    from_measurement : int
        The first measurements of an access are left out: by default the first two, before which no trend is stated.
    among : array of bool, (N,), optional
        Only these accesses.
    """
    low, high = values(low_ml_min), values(high_ml_min)
    order = np.cumsum(np.isfinite(cohort.log_flow), axis=0)
    counts = np.isfinite(low) & np.isfinite(high) & (order >= from_measurement)
    held = (low <= cohort.flow_on_test_ml_min) & (cohort.flow_on_test_ml_min <= high)
    some = np.ones(len(cohort), dtype=bool) if among is None else among
    return Coverage(
        stable=_share(held, counts & (some & cohort.stable)),
        failing=_share(held, counts & (some & (failing(cohort) | cohort.sudden))),
    )


def _share(held: Flags, counts: Flags) -> float:
    return float(held[counts].mean()) if counts.any() else float("nan")
