"""What one rule did in a cohort, or in several together, as one line of figures.

In simulation, no patient data. The figures themselves are those of ``cohorts.merit``; here they are put side by side.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from access.practice.cohorts import merit
from access.practice.cohorts.cohort import Cohort, side_by_side
from access.practice.cohorts.hydraulic import PLACES
from access.practice.cohorts.merit import Delay, Gain, Raised, Rate, SuddenFall
from access.practice.evaluation.contenders import Contender, contenders, limit_twice
from access.practice.evaluation.score import Trial

POOLED = "all"


@dataclass(frozen=True, kw_only=True)
class AtPlace:
    """How early a rule flags narrowings of one place, and what it gains there over the limit twice in a row."""

    delay: Delay
    gain: Gain


@dataclass(frozen=True, kw_only=True)
class Line:
    """One rule in one cohort (its seed), or in all together ("all").

    False flags a stable access-year, in sum and by the band of the true flow; delays in days from the true event. The
    ``gain`` is over the limit passed twice in a row, its cut moved to this rule's own rate of false flags in the same
    cohort. ``asked_a_year`` counts requests to measure again, where the rule makes them.
    """

    contender: Contender
    seed: str
    cuts: tuple[float, ...]
    false: Rate
    bands: dict[tuple[float, float], Rate]
    delay: Delay
    sudden: SuddenFall
    gain: Gain
    places: dict[str, AtPlace]
    asked_a_year: float | None


@dataclass(frozen=True, kw_only=True)
class _Run:
    """The flags of a rule in a cohort, and those of the plain rule at the same rate."""

    cohort: Cohort
    seed: int
    found: Raised
    plain: Raised


def lines(trials: Sequence[Trial], *, say: Callable[[str], None] = lambda _: None) -> Iterator[tuple[Line, ...]]:
    """Each rule in each cohort, and in all of them together as its last line."""
    pooled = side_by_side([trial.outcome for trial in trials])
    for contender in contenders(trials[0]):
        say(f"Cohort {trials[0].name}: {contender.name}, {contender.set_by} ...")
        runs = [_run(contender, trial=trial) for trial in trials]
        asked = [trial.flow.asked_a_year if contender.asks else None for trial in trials]
        single = [
            _line(contender, run=run, seed=str(trial.seed), cuts=contender.cuts(trial), asked=of)
            for run, trial, of in zip(runs, trials, asked, strict=True)
        ]
        joined = _Run(
            cohort=pooled,
            seed=trials[0].seed,
            found=_together([run.found for run in runs]),
            plain=_together([run.plain for run in runs]),
        )
        mean = float(np.mean([one for one in asked if one is not None])) if contender.asks else None
        yield (*single, _line(contender, run=joined, seed=POOLED, cuts=(), asked=mean))


def _run(contender: Contender, *, trial: Trial) -> _Run:
    found = contender.raised(trial)
    rate = merit.false_flags(found, cohort=trial.outcome).per_year
    return _Run(cohort=trial.outcome, seed=trial.seed, found=found, plain=limit_twice(trial, per_year=rate))


def _together(several: Sequence[Raised]) -> Raised:
    """Flags of different accesses at the same rows of time."""
    years, flags = ([getattr(one, name) for one in several] for name in ("years", "flags"))
    return Raised(years=np.concatenate(years, axis=1), flags=np.concatenate(flags, axis=1))


def _line(contender: Contender, *, run: _Run, seed: str, cuts: tuple[float, ...], asked: float | None) -> Line:
    cohort, found = run.cohort, run.found
    return Line(
        contender=contender,
        seed=seed,
        cuts=cuts,
        false=merit.false_flags(found, cohort=cohort),
        bands=merit.false_flags_by_band(found, cohort=cohort),
        delay=merit.delay(found, cohort=cohort, seed=run.seed),
        sudden=merit.sudden_falls(found, cohort=cohort),
        gain=_known(merit.gain(found, over=run.plain, cohort=cohort, seed=run.seed)),
        places={place: _at(place, run=run) for place in PLACES if np.any(cohort.places == place)},
        asked_a_year=asked,
    )


def _at(place: str, *, run: _Run) -> AtPlace:
    among = run.cohort.places == place
    return AtPlace(
        delay=merit.delay(run.found, cohort=run.cohort, seed=run.seed, among=among),
        gain=_known(merit.gain(run.found, over=run.plain, cohort=run.cohort, seed=run.seed, among=among)),
    )


def _known(gain: Gain) -> Gain:
    """A gain whose interval says nothing where a resample has none: never less never."""
    return gain if np.isfinite(gain.days) else replace(gain, low_days=float("nan"), high_days=float("nan"))
