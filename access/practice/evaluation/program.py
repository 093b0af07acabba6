"""The program's real rules over simulated accesses, judged each week as the program would, and at each flow.

In simulation, no patient data: stable accesses of cohort B. The clinic does what the flow's question asks: nine of ten
doubted flows are measured again at the next treatment. Other questions are not followed, and nobody is examined.
A flag by an absolute limit is no false one where the access truly lies beyond that limit: its true flow above that of
high flow, or its true static ratio, without the errors of reading, cuff and height, above that of the ratio. Such flags
are counted apart. A ratio that only reads beyond it, since the height of the chamber is wrongly known, is not so true.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from access.measures import rates
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile, FlowReading
from access.measures.rules import flow_trend
from access.measures.units import DAYS_A_YEAR
from access.practice.cohorts import hydraulic, merit
from access.practice.cohorts.cohort import Cohort, read_with_noise
from access.practice.cohorts.hydraulic import Hydraulic
from access.practice.cohorts.merit import Raised
from access.practice.cohorts.plain import treatments_of
from access.practice.cohorts.profile import FLOW_AT, moment, profile_of, years_of
from access.practice.cohorts.ratio_table import REFERENCE
from access.practice.cohorts.watching import OUTLIER_SHARE, SHARE_REPEATED
from access.practice.evaluation.judge import As, Judge, Told, by_the_rules

A_WEEK, EVENING = timedelta(days=7), timedelta(hours=12)
TOGETHER = "all together"
# The rules of absolute limits, which may be right in an access that fails in no way, and how such flags are named.
HIGH, OUTLET, WITHIN = "flow.high", "outlet.static-ratio", "static.pattern"
TRULY = {rule: f"({rule}, truly beyond)" for rule in (HIGH, OUTLET, WITHIN)}
BAR = 0.15  # Number-based flags a stable access-year.


@dataclass(frozen=True, kw_only=True)
class RuleRate:
    """What one rule, or all together, brought: flags met as new, and questions, a year, and in how many accesses.

    A flag that stays is met as new every 120 days, so that a few accesses may bring most of a rate.
    """

    rule: str
    accesses_flagged: int
    flags: rates.Rate
    questions: rates.Rate


@dataclass(frozen=True, kw_only=True)
class Judged:
    """The rates of each rule of numbers that spoke, and of all together as the last.

    ``beyond`` holds how many of the accesses truly lie beyond the limit of a rule.
    """

    accesses: int
    protocol: str
    beyond: dict[str, int]
    rules: tuple[RuleRate, ...]

    @property
    def together(self) -> RuleRate:
        """All rules of numbers together."""
        return self.rules[-1]


@dataclass(frozen=True, kw_only=True)
class Spoken:
    """When an access was judged (years) and what was told each time."""

    years: Sequence[float]
    told: Sequence[tuple[Told, ...]]

    def times(self, told_as: As, *, rule: str) -> list[bool]:
        """At which times a rule, or any rule of numbers, told so."""
        return [any(one.told_as == told_as and _named(one, rule) for one in each) for each in self.told]

    def onsets(self, told_as: As, *, rule: str) -> int:
        """Flags that a person would meet as new; a question counts once for as long as it stands."""
        said = np.array(self.times(told_as, rule=rule), dtype=bool)
        if told_as == "question":
            return int(np.sum(said & ~np.concatenate([[False], said[:-1]])))
        return int(merit.onsets(Raised(years=np.array(self.years)[:, None], flags=said[:, None])).sum())


def _named(one: Told, rule: str) -> bool:
    return one.of_a_number if rule == TOGETHER else one.rule == rule


def judged(
    accesses: int, *, seed: int, protocol: Protocol, used: Hydraulic | None = None, say: Callable[[str], None]
) -> Judged:
    """The rules over so many stable accesses of cohort B.

    Parameters
    ----------
    accesses : int
        Stable accesses; fewer where the cohort has fewer.
    seed : int
    protocol : Protocol
    used : Hydraulic, optional
        By default three times as many accesses are drawn, of which four in ten are stable.
    say : callable
        Is told how far it is.

    References
    ----------
    simulation
    """
    cohort = hydraulic.cohort(used or replace(REFERENCE, accesses=3 * accesses), seed=seed)
    chosen = np.flatnonzero(cohort.stable)[:accesses]
    judge, spoken, beyond = by_the_rules(protocol), [], Counter[str]()
    for count, index in enumerate(chosen):
        if count % 10 == 0:
            say(f"The program's rules, week by week: access {count + 1} of {len(chosen)} ...")
        truly = truly_beyond(cohort.of([index]), protocol=protocol)
        beyond.update(truly)
        found = _watched(cohort, int(index), judge=judge, draw=np.random.default_rng([seed, int(index)]))
        spoken.append(_apart(found, truly=truly))
    return Judged(
        accesses=len(chosen),
        protocol=protocol.name,
        beyond={rule: beyond[rule] for rule in TRULY},
        rules=rates_of(spoken, days=_days(cohort, chosen)),
    )


def truly_beyond(one: Cohort, *, protocol: Protocol) -> frozenset[str]:
    """The rules of absolute limits whose limit this one access truly lies beyond, usually or on average."""
    held, kind = treatments_of(one), str(one.kinds[0])
    true = {
        HIGH: (HIGH, float(np.median(one.true_flow_ml_min))),
        OUTLET: (f"static.{kind}.venous.outlet", float(np.mean(held.true_venous_ratio))),
        WITHIN: (f"static.{kind}.arterial.within", float(np.mean(held.true_arterial_ratio))),
    }
    limits = protocol.limits
    return frozenset(rule for rule, (name, value) in true.items() if name in limits and limits[name].passed(value))


def _apart(spoken: Spoken, *, truly: frozenset[str]) -> Spoken:
    """What was told, with the rules that are right named apart."""
    told = [
        tuple(replace(one, rule=TRULY[one.rule]) if one.rule in truly else one for one in each) for each in spoken.told
    ]
    return replace(spoken, told=told)


def _days(cohort: Cohort, chosen: np.typing.NDArray[np.intp]) -> float:
    return float(np.sum(cohort.years[-1, chosen] - cohort.years[0, chosen])) * DAYS_A_YEAR


def rates_of(spoken: Sequence[Spoken], *, days: float) -> tuple[RuleRate, ...]:
    """The rates of each rule of numbers that told anything but evidence, and of all together, over these days."""
    heard = {one.rule for each in spoken for told in each.told for one in told if _counts(one)}
    return tuple(
        RuleRate(
            rule=rule,
            accesses_flagged=sum(any(one.times("flag", rule=rule)) for one in spoken),
            flags=rates.rate(sum(one.onsets("flag", rule=rule) for one in spoken), days=days, confidence=0.90),
            questions=rates.rate(sum(one.onsets("question", rule=rule) for one in spoken), days=days, confidence=0.90),
        )
        for rule in (*sorted(heard), TOGETHER)
    )


def _counts(one: Told) -> bool:
    return (one.of_a_number or one.rule in TRULY.values()) and one.told_as != "evidence"


def _watched(cohort: Cohort, index: int, *, judge: Judge, draw: np.random.Generator) -> Spoken:
    """One access through all its years, with the repeats that it is asked for."""
    profile = profile_of(cohort, index, until=moment(float(cohort.years[-1, index])) + EVENING)
    again = _repeats(cohort, index, draw=draw)
    flows = {one.at.date(): one for one in profile.flows}
    times, told = [], []
    for at in _moments(profile):
        found = judge(profile, at)
        times.append(years_of(at))
        told.append(found)
        asked = any(one.rule == flow_trend.RULE and one.told_as == "question" for one in found)
        doubted = flows.pop(at.date(), None)
        if asked and doubted is not None:
            profile = _with_repeat(profile, doubted=doubted, ml_min=again[int(doubted.id.split()[-1])])
    return Spoken(years=times, told=told)


def _moments(profile: AccessProfile) -> list[datetime]:
    """The end of each week, and the evening of each flow."""
    first, last = profile.treatments[0].at + A_WEEK - EVENING, profile.treatments[-1].at
    weeks = [first + number * A_WEEK for number in range(int((last - first) / A_WEEK) + 1)]
    return sorted({*weeks, *(one.at + EVENING for one in profile.flows)})


def _repeats(cohort: Cohort, index: int, *, draw: np.random.Generator) -> list[float]:
    """What a repeat of each flow would read (mL/min), nan where it would not be made."""
    read = read_with_noise(
        cohort.flow_on_test_ml_min[:, [index]],
        cv=cohort.flow_sd,
        outlier_share=OUTLIER_SHARE,
        missed_share=1 - SHARE_REPEATED,
        draw=draw,
    )
    return np.exp(read[:, 0]).tolist()  # type: ignore[no-any-return]


def _with_repeat(profile: AccessProfile, *, doubted: FlowReading, ml_min: float) -> AccessProfile:
    """The profile with the flow measured again at the next treatment, where it was."""
    following = next((one.at for one in profile.treatments if one.at > doubted.at), None)
    if following is None or np.isnan(ml_min):
        return profile
    wide = (doubted.high_ml_min or ml_min) / doubted.ml_min
    repeat = replace(
        doubted,
        id=f"{doubted.id} again",
        at=following + timedelta(minutes=FLOW_AT),
        ml_min=ml_min,
        low_ml_min=ml_min / wide,
        high_ml_min=ml_min * wide,
    )
    return replace(profile, flows=(*profile.flows, repeat))
