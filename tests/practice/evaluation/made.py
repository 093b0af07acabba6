"""Small cohorts under trial for the tests beside this file, drawn once for all of them."""

from functools import cache

from access.practice.evaluation.score import Trial
from access.practice.evaluation.simulated import COHORTS


@cache
def trial(name: str, *, accesses: int, seed: int = 1) -> Trial:
    """A cohort under trial."""
    return Trial(name=name, cohort=COHORTS[name](accesses, seed=seed), seed=seed)
