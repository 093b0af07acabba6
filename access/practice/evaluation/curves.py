"""Delay against false flags: what a rule brings as its cut is moved. In simulation, no patient data."""

from dataclasses import dataclass

from access.practice.cohorts import merit
from access.practice.evaluation.contenders import FLOW, PLAIN, PRESSURE, Contender
from access.practice.evaluation.score import Trial

RATES = (0.02, 0.03, 0.05, 0.07, 0.10, 0.15, 0.20, 0.30, 0.45, 0.66)
# What an alarm flags without its score, as a low flow that is low again, no cut takes away: such rates are left out.
NEAR = 1.05
# One of each kind; the figure would be no clearer for more.
DRAWN = (
    "KDOQI 2000, one measurement",
    "limit, twice in a row",
    "limit, repeated on request",
    "running mean, own baseline",
    "flow trend",
    "flow + static ratio",
)


@dataclass(frozen=True, kw_only=True)
class Point:
    """The median delay (days from the true event) of a rule at a measured rate of false flags a stable access-year."""

    false_a_year: float
    delay_days: float


@dataclass(frozen=True, kw_only=True)
class Curve:
    """One rule as its cut is moved; ``shipped`` or as written, the point at which it stands without moving."""

    name: str
    points: tuple[Point, ...]
    stands: Point | None


def curves(trial: Trial) -> tuple[Curve, ...]:
    """The curve of each drawn rule that can be tried in this cohort."""
    offered = (*PLAIN, *FLOW, *(PRESSURE if trial.cohort.treatments is not None else ()))
    return tuple(
        _curve(name, offered=offered, trial=trial) for name in DRAWN if any(one.name == name for one in offered)
    )


def _curve(name: str, *, offered: tuple[Contender, ...], trial: Trial) -> Curve:
    of_name = [one for one in offered if one.name == name]
    tried = [_point(of_name[0], per_year=rate, trial=trial) for rate in RATES]
    stands = next((one for one in of_name if one.set_by in ("as written", "shipped")), None)
    return Curve(
        name=name,
        points=tuple(point for point, rate in zip(tried, RATES, strict=True) if point.false_a_year <= NEAR * rate),
        stands=None if stands is None else _told(stands.raised(trial), trial=trial),
    )


def _point(contender: Contender, *, per_year: float, trial: Trial) -> Point:
    """Each part has its equal share of the rate."""
    found = []
    for part in contender.parts:
        score = part.score(trial)
        found.append(score.raised(score.cut_for(per_year / len(contender.parts), cohort=trial.cohort)))
    return _told(found[0] if len(found) == 1 else merit.either(*found), trial=trial)


def _told(found: merit.Raised, *, trial: Trial) -> Point:
    return Point(
        false_a_year=merit.false_flags(found, cohort=trial.outcome).per_year,
        delay_days=merit.delay(found, cohort=trial.outcome, seed=trial.seed).median_days,
    )
