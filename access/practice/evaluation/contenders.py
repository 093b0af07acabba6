"""The rules that are held against each other: plain ones, the program's alarms, and those together.

Each is one or more scores with their cuts. "As written" is a cut that a source or the limit itself gives, "shipped" the
one of the operating table, "tuned" the one that brings a given rate of false flags in the cohort at hand.
"""

from collections.abc import Callable
from dataclasses import dataclass

from access.measures import operating
from access.measures.operating import Beside
from access.measures.pressure_series import Quantity
from access.practice.cohorts import merit, plain
from access.practice.cohorts.merit import Raised
from access.practice.evaluation.repeated import repeated
from access.practice.evaluation.score import Score, Trial

TUNED_TO = 0.10  # False flags a stable access-year.
HALF = TUNED_TO / 2
Scoring = Callable[[Trial], Score]
Cutting = Callable[[Trial, Score], float]


@dataclass(frozen=True, kw_only=True)
class Part:
    """One score and the cut it is held against."""

    score: Scoring
    cut: Cutting


@dataclass(frozen=True, kw_only=True)
class Contender:
    """A rule as it is run: its name, how its cut was set, and its parts, of which any flags."""

    name: str
    set_by: str
    parts: tuple[Part, ...]
    asks: bool = False  # Whether it is the flow alarm, whose questions are counted.

    def cuts(self, trial: Trial) -> tuple[float, ...]:
        """The cut of each part in this cohort."""
        return tuple(part.cut(trial, part.score(trial)) for part in self.parts)

    def raised(self, trial: Trial) -> Raised:
        """Where the rule flags in this cohort."""
        cuts = self.cuts(trial)
        found = [part.score(trial).raised(cut) for part, cut in zip(self.parts, cuts, strict=True)]
        return found[0] if len(found) == 1 else merit.either(*found)


def limit_twice(trial: Trial, *, per_year: float) -> Raised:
    """The limit passed twice in a row, its cut moved to a rate of false flags a stable access-year."""
    score = trial.limit_twice
    return score.raised(score.cut_for(per_year, cohort=trial.cohort))


def _tuned(per_year: float = TUNED_TO) -> Cutting:
    return lambda trial, score: score.cut_for(per_year, cohort=trial.cohort)


def _as_written(trial: Trial, score: Score) -> float:
    return plain.AS_WRITTEN


def _flow_cut(beside: Beside) -> Cutting:
    return lambda trial, score: operating.cut(beside, spread=trial.cohort.flow_sd).value


def _ratio_cut(quantity: Quantity) -> Cutting:
    return lambda trial, score: operating.ratio_cut(quantity).value


def _twice(rule: Scoring) -> Scoring:
    return lambda trial: Score(years=trial.cohort.years, score=plain.in_a_row(rule(trial).score, times=2))


def _guideline(trial: Trial) -> Score:
    return Score(years=trial.cohort.years, score=plain.two_point(trial.cohort))


def _limit(trial: Trial) -> Score:
    return Score(years=trial.cohort.years, score=plain.below_limit(trial.cohort))


def _again(rule: Scoring) -> Scoring:
    return lambda trial: repeated(rule(trial).score, cohort=trial.cohort, seed=trial.seed)


def _running_mean(trial: Trial) -> Score:
    return Score(years=trial.cohort.years, score=plain.smoothed_against_baseline(trial.cohort))


def _venous(trial: Trial) -> Score:
    return Score(years=plain.treatments_of(trial.cohort).years, score=plain.venous_against_baseline(trial.cohort))


def _venous_standard(trial: Trial) -> Score:
    held = plain.treatments_of(trial.cohort)
    return Score(years=held.years, score=plain.venous_alone(trial.cohort, standard=True))


def _one(name: str, score: Scoring, *, set_by: str, cut: Cutting, asks: bool = False) -> Contender:
    return Contender(name=name, set_by=set_by, parts=(Part(score=score, cut=cut),), asks=asks)


def _written_and_tuned(name: str, score: Scoring) -> tuple[Contender, ...]:
    return (
        _one(name, score, set_by="as written", cut=_as_written),
        _one(name, score, set_by="tuned", cut=_tuned()),
    )


PLAIN: tuple[Contender, ...] = (
    *_written_and_tuned("KDOQI 2000, one measurement", _guideline),
    *_written_and_tuned("KDOQI 2000, twice in a row", _twice(_guideline)),
    *_written_and_tuned("KDOQI 2000, repeated on request", _again(_guideline)),
    *_written_and_tuned("limit, one measurement", _limit),
    *_written_and_tuned("limit, twice in a row", _twice(_limit)),
    *_written_and_tuned("limit, repeated on request", _again(_limit)),
    _one("running mean, own baseline", _running_mean, set_by="tuned", cut=_tuned()),
)
FLOW = (
    _one("flow trend", lambda trial: trial.flow.score, set_by="shipped", cut=_flow_cut("flow alone"), asks=True),
    _one("flow trend", lambda trial: trial.flow.score, set_by="tuned", cut=_tuned(), asks=True),
    _one("flow at usual blood pressure", lambda trial: trial.adjusted, set_by="tuned", cut=_tuned(), asks=False),
)


def _of_ratio(quantity: Quantity) -> Scoring:
    return lambda trial: trial.ratio(quantity)


def _shipped(quantity: Quantity) -> Part:
    return Part(score=_of_ratio(quantity), cut=_ratio_cut(quantity))


_FLOW_BESIDE = Part(score=lambda trial: trial.flow.score, cut=_flow_cut("flow and pressure"))
_HALVES = tuple(
    Part(score=score, cut=_tuned(HALF)) for score in (lambda trial: trial.flow.score, _of_ratio("static ratio"))
)
PRESSURE = (
    _one("venous pressure, three above baseline", _venous, set_by="tuned", cut=_tuned()),
    _one("venous pressure at 200, three in a row", _venous_standard, set_by="tuned", cut=_tuned()),
    _one("static ratio", _of_ratio("static ratio"), set_by="shipped", cut=_ratio_cut("static ratio")),
    _one("static ratio", _of_ratio("static ratio"), set_by="tuned", cut=_tuned()),
    _one("derived ratio", _of_ratio("derived static ratio"), set_by="shipped", cut=_ratio_cut("derived static ratio")),
    _one("derived ratio", _of_ratio("derived static ratio"), set_by="tuned", cut=_tuned()),
    _one("inflow ratio", _of_ratio("inflow ratio"), set_by="shipped", cut=_ratio_cut("inflow ratio")),
    _one("inflow ratio", _of_ratio("inflow ratio"), set_by="tuned", cut=_tuned()),
    Contender(name="flow + static ratio", set_by="tuned halves", parts=_HALVES, asks=True),
    Contender(name="flow + static ratio", set_by="shipped", parts=(_FLOW_BESIDE, _shipped("static ratio")), asks=True),
    Contender(
        name="flow + derived ratio", set_by="shipped", parts=(_FLOW_BESIDE, _shipped("derived static ratio")), asks=True
    ),
    Contender(
        name="flow + static + inflow ratio",
        set_by="shipped",
        parts=(_FLOW_BESIDE, _shipped("static ratio"), _shipped("inflow ratio")),
        asks=True,
    ),
)


def contenders(trial: Trial) -> tuple[Contender, ...]:
    """The rules that a cohort can try: those of pressure where pressures were read."""
    return (*PLAIN, *FLOW, *(PRESSURE if trial.cohort.treatments is not None else ()))
