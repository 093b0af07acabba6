"""How long something lasts, when not all of it was seen: the curve of Kaplan and Meier, and the test of log ranks.

General statistics with delayed entry, since an access may come under observation long after it was made. What begins
and ends patency is said in ``patency``; nothing here foretells a single access.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtrc, ndtri

from access.measures import Refused
from access.measures.hydraulics import Values, values

Flags = NDArray[np.bool_]
Counts = NDArray[np.int64]
# A share of one half may come out as 0.5000000000000001 from its product of fractions, and is one half all the same.
ROUNDING = 1e-12


@dataclass(frozen=True, kw_only=True)
class Observed:
    """From when to when each access was under observation (days since creation), and whether it ended in the event.

    Watched from after ``entry`` to ``exit`` inclusive; with an entry of 0 the day 0 itself counts too. Without
    ``event`` the end is a censoring. All arrays have the same length (n,), which may be 0.
    """

    entry: Values
    exit: Values
    event: Flags

    def __post_init__(self) -> None:
        if self.entry.ndim != 1 or not self.entry.shape == self.exit.shape == self.event.shape:
            raise Refused("Entry, exit and event are lists of one length, a row for each access.", field="exit")
        if not bool(np.all(np.isfinite(self.entry)) and np.all(np.isfinite(self.exit))):
            raise Refused("Every access has a day of entry and one of exit.", field="exit")
        if bool(np.any(self.entry < 0)):
            raise Refused("No access is under observation before it exists: an entry is 0 or later.", field="entry")
        if bool(np.any((self.exit <= self.entry) & ((self.entry > 0) | (self.exit < 0)))):
            raise Refused("No access leaves before or as it enters: that is no time under observation.", field="exit")

    def __len__(self) -> int:
        return len(self.exit)


def observed(exit: ArrayLike, *, event: ArrayLike, entry: ArrayLike = 0.0) -> Observed:
    """Observations from plain lists; an entry or event given once counts for all.

    Raises
    ------
    Refused
        Lengths differ, a number is missing, or an access leaves before it enters.
    """
    until = np.atleast_1d(values(exit))
    try:
        since = np.broadcast_to(values(entry), until.shape)
        ended = np.broadcast_to(np.asarray(event, dtype=bool), until.shape)
    except ValueError as found:
        raise Refused("Entry, exit and event are lists of one length.", field="exit") from found
    return Observed(entry=since, exit=until, event=ended)


def at_risk(one: Observed, *, at: ArrayLike) -> Counts:
    """How many were under observation at each day, those leaving on it among them.

    Notes
    -----
    Entered before the day and not gone before it. Whoever was there from the beginning is counted on day 0 too.

    References
    ----------
    left-truncation
    """
    days = values(at)
    entered = np.sort(np.where(one.entry > 0, one.entry, -np.inf))
    return np.searchsorted(entered, days, side="left") - np.searchsorted(np.sort(one.exit), days, side="left")


@dataclass(frozen=True, kw_only=True)
class Median:
    """The day by which half had ended, with both ends of its interval; ``None``: not reached."""

    days: float | None
    low_days: float | None
    high_days: float | None


@dataclass(frozen=True, kw_only=True)
class Curve:
    """The share (0 to 1) that lasts beyond each day on which one ended, with its band; all arrays (m,).

    ``at_risk`` were under observation on that day, ``events`` of them ended. Where the share is 0 the band is nan:
    the formula has none.
    """

    days: Values
    at_risk: Counts
    events: Counts
    share: Values
    low: Values
    high: Values
    confidence: float
    caution: str  # Empty where there is none.

    def at(self, day: float) -> float:
        """The share (0 to 1) that lasts beyond the day."""
        passed = int(np.searchsorted(self.days, day, side="right"))
        return float(self.share[passed - 1]) if passed else 1.0

    @property
    def median(self) -> Median:
        """The first day on which the share is one half or less, and the days on which the two bands are.

        References
        ----------
        brookmeyer-crowley
        """
        days, low_days, high_days = (self._first_half(line) for line in (self.share, self.low, self.high))
        return Median(days=days, low_days=low_days, high_days=high_days)

    def _first_half(self, line: Values) -> float | None:
        below = np.flatnonzero(line <= 0.5 + ROUNDING)
        return float(self.days[below[0]]) if below.size else None


def kaplan_meier(one: Observed, *, confidence: float = 0.95) -> Curve:
    """The share (0 to 1) that lasts beyond each day, by Kaplan and Meier, with delayed entry.

    Parameters
    ----------
    one : Observed
        From when to when each was seen, in days.
    confidence : float
        Of the band at each single day, between 0 and 1; not of the whole curve at once.

    Returns
    -------
    Curve
        A row for each day on which at least one ended.

    Raises
    ------
    Refused
        Nothing was under observation, or the confidence is not between 0 and 1.

    Notes
    -----
    S(t) = product of (1 - d / n) over the days up to t; the band is S ** exp(+-z sqrt(V) / ln S) with Greenwood's
    V = sum of d / (n (n - d)), on the scale log(-log S). With delayed entry S is the share among those still lasting
    when the first came under observation. Censoring has to tell nothing of what would have come.

    References
    ----------
    kaplan-meier, greenwood, left-truncation
    """
    if not len(one):
        raise Refused("No access was under observation: there is no curve.", field="exit")
    if not 0 < confidence < 1:
        raise Refused(f"A confidence lies between 0 and 1; {confidence:g} does not.", field="confidence")
    days, events = np.unique(one.exit[one.event], return_counts=True)
    exposed = at_risk(one, at=days)
    share = values(np.cumprod((exposed - events) / exposed))
    left = np.where(share > 0, exposed - events, 1)  # Where the curve is 0 the band becomes nan below.
    log_share = np.log(np.where(share > 0, share, np.nan))
    width = ndtri((1 + confidence) / 2) * np.sqrt(np.cumsum(events / (exposed * left))) / -log_share
    return Curve(
        days=days,
        at_risk=exposed,
        events=events,
        share=share,
        low=np.exp(log_share * np.exp(width)),
        high=np.exp(log_share * np.exp(-width)),
        confidence=confidence,
        caution=_caution(one, days=days, share=share),
    )


def _caution(one: Observed, *, days: Values, share: Values) -> str:
    """What delayed entry does to a curve: once none is left it stays at 0, whoever enters later."""
    none_left = days[share == 0]
    later = int(np.sum(one.exit > none_left[0])) if none_left.size else 0
    if not later:
        return ""
    return (
        f"By day {none_left[0]:g} every access then under observation had ended, so the curve stays at 0; "
        f"{later} that came under observation later cannot raise it. Do not read it."
    )


@dataclass(frozen=True, kw_only=True)
class LogRank:
    """The test of equal curves: chi-square, its degrees of freedom, p, and events seen and expected in each group."""

    chi_square: float
    degrees_of_freedom: int
    p: float
    observed: Values
    expected: Values


def log_rank(groups: Sequence[Observed]) -> LogRank:
    """How unlike the curves of two or more groups are, with delayed entry; p is from 0 to 1.

    Raises
    ------
    Refused
        Fewer than two groups, no event, or no event at which the groups can be told apart.

    Notes
    -----
    At each day with an event the expected events of a group are its part of those at risk; the variance is that of
    drawing without replacement. Every day weighs the same, so that curves which cross may well pass for equal.

    References
    ----------
    log-rank, left-truncation
    """
    if len(groups) < 2:
        raise Refused("A comparison needs at least two groups.", field="groups")
    days = np.unique(np.concatenate([one.exit[one.event] for one in groups]))
    if not days.size:
        raise Refused("Nothing ended in any group: there is nothing to compare.", field="groups")
    exposed = np.array([at_risk(one, at=days) for one in groups], dtype=np.float64)
    ended = np.array([_events_at(one, days=days) for one in groups], dtype=np.float64)
    n, d = exposed.sum(axis=0), ended.sum(axis=0)
    part = exposed / n
    expected = part @ d
    weight = d * (n - d) / np.maximum(n - 1, 1)
    variance = np.diag(part @ weight) - (part * weight) @ part.T
    difference, spread = (ended.sum(axis=1) - expected)[:-1], variance[:-1, :-1]
    if np.linalg.matrix_rank(spread, tol=ROUNDING * weight.sum(), hermitian=True) < len(groups) - 1:
        raise Refused(
            "The groups cannot be told apart: when one ended, too few of the others were under observation.",
            field="groups",
        )
    chi_square = float(difference @ np.linalg.solve(spread, difference))
    freedom = len(groups) - 1
    return LogRank(
        chi_square=chi_square,
        degrees_of_freedom=freedom,
        p=float(chdtrc(freedom, chi_square)),
        observed=ended.sum(axis=1),
        expected=expected,
    )


def _events_at(one: Observed, *, days: Values) -> Counts:
    ended = np.sort(one.exit[one.event])
    return np.searchsorted(ended, days, side="right") - np.searchsorted(ended, days, side="left")
