"""Whether measurements in succession lie above a limit by more than their noise: near a limit chance alone does.

It knows no quantity. A rule that finds its run not likely enough goes on asking and is met once more was seen; it never
falls silent by this.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import ndtr

from access.measures.rules.say import percent
from access.measures.units import as_shown

LIKELY = 0.9  # Own choice; what it brings in simulation stands under each rule in the README of the computation.


def likely_above(values: Sequence[float], *, limit: float, spreads: Sequence[float], least: int) -> float:
    """P(what lies behind measurements in succession is above a limit), 0 to 1, by their mean.

    Parameters
    ----------
    values : sequence of float
        The measurements, oldest first, at least one, on a scale on which they err alike upwards and downwards.
    limit : float
        On the same scale.
    spreads : sequence of float
        Standard deviation of each of them, not zero.
    least : int
        What was likely once, of so many or more, stays so for as long as the succession lasts.

    Notes
    -----
    Phi((mean - limit) / se), the greatest of it. That those in succession were chosen since they lie above makes it too
    sure; the cut was tried with that.

    References
    ----------
    own-choice, simulation
    """
    counts = range(min(least, len(values)), len(values) + 1)
    return max(_by_the_mean(values[:count], limit=limit, spreads=spreads[:count]) for count in counts)


def _by_the_mean(values: Sequence[float], *, limit: float, spreads: Sequence[float]) -> float:
    mean = math.fsum(values) / len(values)
    return float(ndtr((mean - limit) * len(values) / math.hypot(*spreads)))


@dataclass(frozen=True, kw_only=True)
class Needed:
    """How often in succession a run must be seen to meet its rule, and its doubt in words where that is more often."""

    times: int
    doubt: str = ""


def needed_of(times_seen: int, *, needed: int, likely: float | None) -> Needed:
    """What a run needs: as often as its rule says, or once more while its mean is not likely beyond the limit.

    Where ``likely`` is None the doubt of a measurement is not known: then the rule alone holds.
    """
    if likely is None or times_seen < needed or as_shown(likely, decimals=2) >= LIKELY:
        return Needed(times=needed)
    return Needed(times=times_seen + 1, doubt=f", by their mean only {percent(likely)} likely")
