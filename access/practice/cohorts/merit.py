"""What flags are worth against the truth: false ones an access-year, how early or late, and how sure that is.

Any rule can be plugged in: it gives a score, time-major, and flags where the score lies above a cut. In simulation,
no patient data. Whether stated probabilities and intervals are honest is in ``honesty``.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from access.measures import Refused
from access.measures.hydraulics import Values, values
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts.cohort import Cohort, Flags

REFRACTORY_DAYS = 120.0
AFTER_EVENT_DAYS, AFTER_FALL_DAYS = 60.0, 90.0
BANDS_ML_MIN = ((600.0, 800.0), (800.0, 1000.0), (1000.0, np.inf))
MEDIAN_DRAWS = 1000
Places = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Raised:
    """Where a rule flags, (T, N), at times in years, (T, N); the times may be the rule's own."""

    years: Values
    flags: Flags


def raised(score: ArrayLike, *, years: ArrayLike, cut: float = 0.0) -> Raised:
    """Flags where a score (T, N) lies above a cut; nan never does. ``years`` is (T,) or (T, N)."""
    found, at = np.asarray(score, dtype=float), values(years)
    return Raised(years=np.broadcast_to(at[:, None] if at.ndim == 1 else at, found.shape), flags=found > cut)


def either(*several: Raised) -> Raised:
    """Flags of several rules of the same accesses together, each at its own times."""
    years = np.concatenate([one.years for one in several])
    order = np.argsort(years, axis=0, kind="stable")
    flags = np.concatenate([one.flags for one in several])
    return Raised(years=np.take_along_axis(years, order, axis=0), flags=np.take_along_axis(flags, order, axis=0))


def onsets(found: Raised, *, refractory_days: float = REFRACTORY_DAYS) -> Flags:
    """Flags that a person would meet as new, (T, N): those more than ``refractory_days`` after the last one met.

    A flag that goes on for a year is met three times: the rate of false flags is not made to look small by it.
    """
    new = np.zeros_like(found.flags)
    last = np.full(found.flags.shape[1], -np.inf)
    for row in np.flatnonzero(found.flags.any(axis=1)):
        at = found.years[row]
        new[row] = found.flags[row] & ((at - last) * DAYS_A_YEAR > refractory_days)
        last = np.where(new[row], at, last)
    return new


@dataclass(frozen=True, kw_only=True)
class Rate:
    """False flags among stable accesses, and the access-years they were watched."""

    flags: int
    access_years: float

    @property
    def per_year(self) -> float:
        """False flags an access-year; nan where none was watched."""
        return self.flags / self.access_years if self.access_years > 0 else float("nan")


def false_flags(found: Raised, *, cohort: Cohort, among: ArrayLike | None = None) -> Rate:
    """False flags of the stable accesses, or of those of them that are asked for by a mask (N,)."""
    chosen = cohort.stable if among is None else cohort.stable & np.asarray(among)
    some = Raised(years=found.years[:, chosen], flags=found.flags[:, chosen])
    watched = cohort.years[-1, chosen] - cohort.years[0, chosen]
    return Rate(flags=int(onsets(some).sum()), access_years=float(watched.sum()))


def false_flags_by_band(found: Raised, *, cohort: Cohort) -> dict[tuple[float, float], Rate]:
    """False flags by the median true flow of the stable access (mL/min, from and below)."""
    usual = np.median(cohort.true_flow_ml_min, axis=0)
    return {
        (low, high): false_flags(found, cohort=cohort, among=(usual >= low) & (usual < high))
        for low, high in BANDS_ML_MIN
    }


def cut_for(score: ArrayLike, *, years: ArrayLike, cohort: Cohort, per_year: float) -> float:
    """The cut at which a score gives at most so many false flags a stable access-year.

    Parameters
    ----------
    score : array_like, (T, N)
    years : array_like, (T,) or (T, N)
        Times of the score, in years.
    per_year : float
        False flags an access-year.

    Raises
    ------
    Refused
        When no stable access was ever scored.

    Notes
    -----
    Halved thirty times over the scores seen in stable accesses. The rate falls with the cut but for the refractory
    time, so the cut found may be one of several near each other.
    """
    stable = np.asarray(score, dtype=float)[:, cohort.stable]
    seen = np.unique(stable[np.isfinite(stable)])
    if not len(seen):
        raise Refused("No stable access has a score: there is no rate to set a cut by.")
    few = cohort.of(cohort.stable)
    at = values(years)
    at = at if at.ndim == 1 else at[:, cohort.stable]
    low, high = -1, len(seen) - 1
    while high - low > 1:
        middle = (low + high) // 2
        rate = false_flags(raised(stable, years=at, cut=float(seen[middle])), cohort=few).per_year
        low, high = (low, middle) if rate <= per_year else (middle, high)
    return float(seen[high])


def failing(cohort: Cohort) -> Flags:
    """The accesses whose delay is counted, (N,): they truly failed slowly, and were watched for 60 days after it."""
    watched = (cohort.years[-1] - cohort.event_years) * DAYS_A_YEAR >= AFTER_EVENT_DAYS
    return np.asarray(watched & (cohort.event_years >= cohort.began_years) & ~cohort.sudden)


def delays_days(found: Raised, *, cohort: Cohort) -> Values:
    """Days from the true event to the first flag since the access began to fail, (N,).

    Negative before the event, infinite where no flag ever came, nan where there was no event.
    """
    counts = found.flags & (found.years >= cohort.began_years)
    first = np.where(
        counts.any(axis=0), np.take_along_axis(found.years, counts.argmax(axis=0)[None], axis=0)[0], np.inf
    )
    return np.asarray((first - cohort.event_years) * DAYS_A_YEAR)


@dataclass(frozen=True, kw_only=True)
class Delay:
    """Median delay (days) with its bootstrap interval, and the share flagged by the event and by 60 days after it."""

    accesses: int
    median_days: float
    low_days: float
    high_days: float
    by_event: float
    by_60_days: float


def delay(found: Raised, *, cohort: Cohort, seed: int, among: ArrayLike | None = None, level: float = 0.90) -> Delay:
    """How early or late a rule flags accesses that fail slowly (see ``failing``), or some of them by a mask (N,).

    Parameters
    ----------
    found : Raised
    cohort : Cohort
    seed : int
        Of the bootstrap, which draws accesses with replacement.
    among : array_like of bool, optional
    level : float
        Of the interval, 0.90 or 0.95 say.
    """
    chosen = failing(cohort) if among is None else failing(cohort) & np.asarray(among)
    days = delays_days(found, cohort=cohort)[chosen]
    if not len(days):
        nothing = float("nan")
        return Delay(
            accesses=0, median_days=nothing, low_days=nothing, high_days=nothing, by_event=nothing, by_60_days=nothing
        )
    low, high = _interval(lambda drawn: _median(days[drawn]), size=len(days), seed=seed, level=level)
    return Delay(
        accesses=len(days),
        median_days=float(_median(days)),
        low_days=low,
        high_days=high,
        by_event=float(np.mean(days <= 0)),
        by_60_days=float(np.mean(days <= AFTER_EVENT_DAYS)),
    )


@dataclass(frozen=True, kw_only=True)
class Gain:
    """By how many days the median delay of one rule is shorter than that of another, with its bootstrap interval."""

    days: float
    low_days: float
    high_days: float


def gain(
    found: Raised,
    *,
    over: Raised,
    cohort: Cohort,
    seed: int,
    among: ArrayLike | None = None,
    level: float = 0.90,
) -> Gain:
    """Gain in median delay over another rule on the same accesses, which are drawn together.

    Nan where neither rule flags half of them.
    """
    chosen = failing(cohort) if among is None else failing(cohort) & np.asarray(among)
    first, second = (delays_days(one, cohort=cohort)[chosen] for one in (found, over))

    def shorter(drawn: Places) -> Values:
        with np.errstate(invalid="ignore"):  # Never less never tells nothing, and says so.
            return values(_median(second[drawn]) - _median(first[drawn]))

    low, high = _interval(shorter, size=len(first), seed=seed, level=level)
    return Gain(days=float(shorter(np.arange(len(first)))), low_days=low, high_days=high)


def _median(days: Values) -> Values:
    """The lower median along the last axis: never between a flag and no flag at all."""
    middle = (days.shape[-1] - 1) // 2
    return np.asarray(np.partition(days, middle, axis=-1)[..., middle])


def _interval(figure: Callable[[Places], Values], *, size: int, seed: int, level: float) -> tuple[float, float]:
    drawn = np.random.default_rng(seed).integers(0, size, (MEDIAN_DRAWS, size))
    found = np.sort(figure(drawn))
    edge = round((1 - level) / 2 * (MEDIAN_DRAWS - 1))
    return float(found[edge]), float(found[-1 - edge])


@dataclass(frozen=True, kw_only=True)
class SuddenFall:
    """How soon a fall at once is flagged: median days after it, and the share within 90 days."""

    accesses: int
    median_days: float
    within_90_days: float


def sudden_falls(found: Raised, *, cohort: Cohort) -> SuddenFall:
    """What a rule makes of accesses that lost flow at once and for good."""
    watched = (cohort.years[-1] - cohort.began_years) * DAYS_A_YEAR >= AFTER_FALL_DAYS
    days = delays_days(found, cohort=cohort)[cohort.sudden & watched]
    if not len(days):
        return SuddenFall(accesses=0, median_days=float("nan"), within_90_days=float("nan"))
    return SuddenFall(
        accesses=len(days),
        median_days=float(_median(days)),
        within_90_days=float(np.mean(days <= AFTER_FALL_DAYS)),
    )
