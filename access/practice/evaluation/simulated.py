"""The whole evaluation in simulation: both cohorts, all rules, the trend's doubt, accesses after a treatment.

In simulation, no patient data. It prints nothing; ``printed`` puts the result into words, ``pictures`` draws it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from access.practice.cohorts import hydraulic, ratio_table, statistical
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.statistical import Statistical
from access.practice.evaluation.curves import Curve, curves
from access.practice.evaluation.doubt import Doubt, doubts
from access.practice.evaluation.lines import Line, lines
from access.practice.evaluation.score import Trial
from access.practice.evaluation.treated import AfterTreatment, Treated, after_treatment

ACCESSES, SEEDS = 3000, (1, 2, 3)
Say = Callable[[str], None]


def _statistical(accesses: int, *, seed: int) -> Cohort:
    used = Statistical(stable=accesses, progressing=accesses, sudden=accesses // 2)
    return statistical.cohort(used, seed=seed)


def _hydraulic(accesses: int, *, seed: int) -> Cohort:
    """The cohort of the operating table's pressure ratios: its static readings err as much as their series assumes."""
    return hydraulic.cohort(replace(ratio_table.REFERENCE, accesses=accesses), seed=seed)


COHORTS: dict[str, Callable[..., Cohort]] = {"A": _statistical, "B": _hydraulic}
DESCRIBED = {
    "A": "statistical, {accesses:,} stable, as many failing slowly, half as many falling at once by 36 %",
    "B": "hydraulic, {accesses:,} accesses with narrowings at inflow, middle or outflow, four in ten hardly growing",
}


@dataclass(frozen=True, kw_only=True)
class Evaluated:
    """All that was found in one cohort: each rule's lines (one a seed, then all), the trend's doubt, curves."""

    name: str
    accesses: int
    seeds: tuple[int, ...]
    rules: tuple[tuple[Line, ...], ...]
    doubts: tuple[Doubt, ...]
    curves: tuple[Curve, ...]

    @property
    def described(self) -> str:
        """What the cohort is, in words."""
        return DESCRIBED[self.name].format(accesses=self.accesses)


def evaluated(
    name: str, *, accesses: int = ACCESSES, seeds: Sequence[int] = SEEDS, say: Say = lambda _: None
) -> Evaluated:
    """One cohort, drawn once a seed, with all rules over it.

    Parameters
    ----------
    name : str
        A or B.
    accesses : int
    seeds : sequence of int
    say : callable
        Is told how far it is.

    References
    ----------
    simulation
    """
    trials = []
    for seed in seeds:
        say(f"Cohort {name}: drawing {accesses:,} accesses, seed {seed} ...")
        trials.append(Trial(name=name, cohort=COHORTS[name](accesses, seed=seed), seed=seed))
    return Evaluated(
        name=name,
        accesses=accesses,
        seeds=tuple(seeds),
        rules=tuple(lines(trials, say=say)),
        doubts=doubts(trials),
        curves=curves(trials[0]),
    )


def treated(*, accesses: int, seed: int) -> AfterTreatment:
    """Failing accesses that are treated, as many as asked for, but no more than the level needs to be judged by."""
    return after_treatment(Treated(accesses=min(accesses, Treated().accesses)), seed=seed)
