"""The doubt of a ratio of two noisy numbers: interval by Fieller, probability of passing a limit.

General statistics of x / y with jointly normal errors; what x and y are is said by the caller.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

NORMAL = NormalDist()
# Half of a two-sided 90 % interval, in standard deviations: 1.6449.
Z_90 = NORMAL.inv_cdf(0.95)


@dataclass(frozen=True, kw_only=True)
class Interval:
    """Both ends of an interval, in the unit of the ratio."""

    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class NoisyRatio:
    """The ratio x / y, y above zero, with the variances and the covariance of x and y."""

    x: float
    y: float
    variance_x: float
    variance_y: float
    covariance: float

    @property
    def value(self) -> float:
        """The ratio as measured."""
        return self.x / self.y

    def variance_at(self, limit: float) -> float:
        """The variance of x - limit y, the linear form whose sign says whether the ratio passes the limit."""
        variance = self.variance_x - 2 * limit * self.covariance + limit**2 * self.variance_y
        return max(variance, 0.0)  # Rounding alone can push it below zero.

    def standard_deviation(self) -> float:
        """The standard deviation of the ratio by the delta method."""
        return math.sqrt(self.variance_at(self.value)) / self.y

    def probability_above(self, limit: float) -> float:
        """The probability, 0 to 1, that the true ratio lies above the limit.

        Notes
        -----
        With y > 0 the ratio passes ``limit`` exactly when x - limit y > 0, and that is one normal number.

        References
        ----------
        fieller
        """
        deviation = math.sqrt(self.variance_at(limit))
        difference = self.x - limit * self.y
        if deviation == 0.0:
            return float(difference > 0)
        return NORMAL.cdf(difference / deviation)

    def interval(self, *, z: float = Z_90) -> Interval | None:
        """The values c with (x - c y)^2 <= z^2 var(x - c y), 90 % by default.

        Returns
        -------
        Interval or None
            None when y cannot be told from zero: then no interval of finite length exists.

        References
        ----------
        fieller
        """
        a = self.y**2 - z**2 * self.variance_y
        if a <= 0:
            return None
        half_b = self.x * self.y - z**2 * self.covariance
        c = self.x**2 - z**2 * self.variance_x
        # The measured ratio itself satisfies the inequality, so the roots are real up to rounding.
        root = math.sqrt(max(half_b**2 - a * c, 0.0))
        return Interval(low=(half_b - root) / a, high=(half_b + root) / a)
