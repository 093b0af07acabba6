"""The usual flow of an access: the median of its first measurements since the vessel was last changed, and fixed then.

It never moves, since a moving one would follow the disease; what lies below it is for ``alarm``.
"""

import math
from dataclasses import dataclass

import numpy as np

from access.measures.hydraulics import Values
from access.measures.series import Flags

FIRST = 6  # Measurements that it is made of: half a year of monthly ones (own choice).


@dataclass(frozen=True, kw_only=True)
class Usual:
    """Usual log flow at each row, (T, N), with its variance; nan until it is known and after a change."""

    level: Values
    variance: Values


def usual_flow(measured_values: Values, *, weights: Values, measured: Flags, resets: Flags) -> Usual:
    """The usual log flow as it was known at each row, log(mL/min).

    Parameters
    ----------
    measured_values, weights : array, (T, N)
        Log flow, and 1 / variance.
    measured : array of bool, (T, N)
        Where a measurement counts.
    resets : array of bool, (T, N)
        Where the vessel was changed since the row before.

    Notes
    -----
    The variance of a median of normal values is pi / 2 times that of their mean; used here for six of them.

    References
    ----------
    own-choice, simulation
    """
    order = _order(measured, resets=resets)
    # The first ones, access by access and in order of time: where one is the last of them the others stand before it.
    access, row = np.nonzero((measured & (order <= FIRST)).T)
    last = np.flatnonzero(order[row, access] == FIRST)
    firsts = last - np.arange(FIRST)[::-1, None]
    seen, doubt = (one[row[firsts], access[firsts]] for one in (measured_values, weights))
    found = np.full((2, *measured.shape), np.nan)
    found[:, row[last], access[last]] = np.median(seen, axis=0), math.pi / 2 * (1 / doubt).mean(axis=0) / FIRST
    level, variance = (_carried(one, until=resets) for one in found)
    return Usual(level=level, variance=variance)


def _order(measured: Flags, *, resets: Flags) -> np.typing.NDArray[np.intp]:
    """Which measurement since the last change each one is, from 1."""
    count = np.cumsum(measured, axis=0)
    before = np.maximum.accumulate(np.where(resets, count - measured, 0), axis=0)
    return np.asarray(count - before)


def _carried(found: Values, *, until: Flags) -> Values:
    """Each number carried down its column until the vessel is changed."""
    rows = np.arange(len(found))[:, None]
    newest = np.maximum.accumulate(np.where(np.isfinite(found) | until, rows, 0), axis=0)
    return np.asarray(np.take_along_axis(found, newest, axis=0))
