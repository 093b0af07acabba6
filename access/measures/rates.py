"""Events over time under observation: a rate, and the ratio of two, each with its exact interval.

It takes counts and days. What counts as one event, and whose days count, is decided where they are counted; whether
the events are independent, as every interval here assumes, no count can tell.
"""

import math
from dataclasses import dataclass

from scipy.special import betainc, betaincinv, gammaincinv

from access.measures import Refused
from access.measures.units import DAYS_A_YEAR

ASSUMES = "Assumes independent events: an access that clots again and again makes the interval too narrow."


@dataclass(frozen=True, kw_only=True)
class Rate:
    """Events in days under observation, and the rate a year with both ends of its interval."""

    events: int
    days: float
    per_year: float
    low_per_year: float
    high_per_year: float
    confidence: float

    @property
    def years(self) -> float:
        """The years under observation."""
        return self.days / DAYS_A_YEAR

    @property
    def per_1000_days(self) -> float:
        """The rate in events per 1000 days."""
        return _per_1000_days(self.per_year)

    @property
    def low_per_1000_days(self) -> float:
        """The lower end of the interval, in events per 1000 days."""
        return _per_1000_days(self.low_per_year)

    @property
    def high_per_1000_days(self) -> float:
        """The upper end of the interval, in events per 1000 days."""
        return _per_1000_days(self.high_per_year)

    @property
    def text(self) -> str:
        """The rate with its denominator, its interval and what that assumes."""
        return (
            f"{_events(self.events)} in {self.days:,.0f} days ({self.years:,.1f} years): {self.per_year:.2f} a year "
            f"({100 * self.confidence:g} % interval {self.low_per_year:.2f} to {self.high_per_year:.2f}), "
            f"{self.per_1000_days:.2f} per 1000 days. {ASSUMES}"
        )


@dataclass(frozen=True, kw_only=True)
class RateRatio:
    """How many times the second rate the first one is, with its interval and p of equal rates (0 to 1).

    Where nothing happened in the second, ``value`` and ``high`` are ``None``: the ratio has no upper end.
    """

    first: Rate
    second: Rate
    value: float | None
    low: float
    high: float | None
    p: float
    confidence: float

    @property
    def text(self) -> str:
        """The ratio with both denominators, its interval, p and what they assume."""
        ratio = "no ratio, for nothing happened in the second" if self.value is None else f"ratio {self.value:.2f}"
        above = "without upper end" if self.high is None else f"to {self.high:.2f}"
        return (
            f"{_events(self.first.events)} in {self.first.days:,.0f} days against {_events(self.second.events)} in "
            f"{self.second.days:,.0f} days: {ratio} ({100 * self.confidence:g} % interval {self.low:.2f} {above}), "
            f"p {_p(self.p)}. {ASSUMES}"
        )


def rate(events: int, *, days: float, confidence: float = 0.95) -> Rate:
    """Events a year under observation, with the exact Poisson interval.

    Parameters
    ----------
    events : int
        How many there were.
    days : float
        Days under observation of all accesses or patients together.
    confidence : float
        Of the interval, between 0 and 1.

    Raises
    ------
    Refused
        A count below 0 or not whole, no time, more events than days, or a confidence not between 0 and 1.

    Notes
    -----
    Half the chi-square quantiles with 2 k and 2 k + 2 degrees of freedom, which are quantiles of the gamma
    distribution with shape k and k + 1. The interval covers at least as often as it says.

    References
    ----------
    garwood-1936
    """
    _check_count(events, days=days)
    _check_confidence(confidence)
    years = days / DAYS_A_YEAR
    outside = (1 - confidence) / 2
    return Rate(
        events=events,
        days=days,
        per_year=events / years,
        low_per_year=float(gammaincinv(events, outside)) / years if events else 0.0,
        high_per_year=float(gammaincinv(events + 1, 1 - outside)) / years,
        confidence=confidence,
    )


def ratio(first: Rate, *, to: Rate, confidence: float = 0.95) -> RateRatio:
    """How many times another rate this one is, with the exact interval and p (0 to 1).

    Parameters
    ----------
    first, to : Rate
        The two rates; the ratio is that of the first to the other.
    confidence : float
        Of the interval, between 0 and 1.

    Raises
    ------
    Refused
        When there was no event in either, or the confidence is not between 0 and 1.

    Notes
    -----
    Given all events, those of the first are binomial with the share of the days when the rates are equal. The ends
    are those of Clopper and Pearson as odds; p is twice the smaller tail, so that it lies below 0.05 exactly when
    the 95 % interval leaves out 1. Adding up the less likely outcomes instead can give a p that denies the interval.

    References
    ----------
    clopper-pearson-1934, fay-2022
    """
    _check_confidence(confidence)
    if not first.events + to.events:
        raise Refused("There was no event in either: their rates cannot be compared.", field="events")
    outside, scale = (1 - confidence) / 2, to.days / first.days
    share = first.days / (first.days + to.days)
    return RateRatio(
        first=first,
        second=to,
        value=first.per_year / to.per_year if to.events else None,
        low=scale * _odds(betaincinv(first.events, to.events + 1, outside)) if first.events else 0.0,
        high=scale * _odds(betaincinv(first.events + 1, to.events, 1 - outside)) if to.events else None,
        p=min(1.0, 2 * min(_or_more(first.events, to.events, share), _or_more(to.events, first.events, 1 - share))),
        confidence=confidence,
    )


def _or_more(events: int, others: int, share: float) -> float:
    """The probability that at least so many of all events fall on this side, given its share of the days."""
    return float(betainc(events, others + 1, share)) if events else 1.0


def _odds(probability: float) -> float:
    return float(probability / (1 - probability))


def _per_1000_days(per_year: float) -> float:
    return per_year * 1000 / DAYS_A_YEAR


def _events(count: int) -> str:
    return f"{count} event" if count == 1 else f"{count} events"


def _p(p: float) -> str:
    return "below 0.001" if p < 0.001 else f"{p:.3f}"


def _check_count(events: float, *, days: float) -> None:
    if not (math.isfinite(events) and events >= 0 and events == int(events)):
        raise Refused(f"Events are counted: {events:g} is no whole number from 0 on.", field="events")
    if not 0 < days < math.inf:
        raise Refused(f"A rate needs time under observation; {days:g} days is none.", field="days")
    if events > days:
        raise Refused(
            f"{events:g} events in {days:g} days are more than one a day: look whether the time was given in years.",
            field="days",
        )


def _check_confidence(confidence: float) -> None:
    if not 0 < confidence < 1:
        raise Refused(f"A confidence lies between 0 and 1; {confidence:g} does not.", field="confidence")
