"""The bars of detection, in simulation and without patient data: both cohorts at 3,000 accesses, one seed."""

import pytest

from access.measures import operating
from access.practice.cohorts import merit, operating_table
from access.practice.evaluation.contenders import FLOW, PRESSURE, TUNED_TO, Contender, limit_twice
from access.practice.evaluation.doubt import doubts
from access.practice.evaluation.score import Trial
from access.practice.evaluation.treated import after_treatment
from tests.practice.evaluation.made import trial

ACCESSES = 3000


def one(name: str, *, set_by: str, among: tuple[Contender, ...] = FLOW) -> Contender:
    """A contender by its name."""
    return next(each for each in among if (each.name, each.set_by) == (name, set_by))


def gain(contender: Contender, *, of: Trial) -> merit.Gain:
    """What a contender gains over the limit twice in a row, both at one rate of false flags."""
    found = contender.raised(of)
    rate = merit.false_flags(found, cohort=of.outcome).per_year
    plain = limit_twice(of, per_year=rate)
    assert merit.false_flags(plain, cohort=of.outcome).per_year == pytest.approx(rate, rel=0.05)
    return merit.gain(found, over=plain, cohort=of.outcome, seed=of.seed)


@pytest.mark.parametrize("name", ["A", "B"])
def test_the_flow_trend_gains_at_least_20_days_over_the_limit_twice_in_a_row(name: str) -> None:
    under = trial(name, accesses=ACCESSES)
    contender = one("flow trend", set_by="tuned")
    rate = merit.false_flags(contender.raised(under), cohort=under.outcome).per_year
    assert rate == pytest.approx(TUNED_TO, rel=0.02)
    assert gain(contender, of=under).low_days >= 20


def test_flow_and_pressure_together_gain_at_least_45_days() -> None:
    halves = one("flow + static ratio", set_by="tuned halves", among=PRESSURE)
    assert gain(halves, of=trial("B", accesses=ACCESSES)).low_days >= 45


def test_the_shipped_cut_brings_the_false_flags_that_the_table_says() -> None:
    under = trial("A", accesses=ACCESSES)
    said = operating.cut("flow alone", spread=under.cohort.flow_sd).false_a_year
    found = merit.false_flags(one("flow trend", set_by="shipped").raised(under), cohort=under.outcome)
    assert found.per_year == pytest.approx(said, rel=0.30)


@pytest.mark.parametrize("name", ["A", "B"])
def test_the_90_percent_interval_of_the_level_holds_as_often_as_it_should(name: str) -> None:
    found = doubts([trial(name, accesses=ACCESSES)])[-1]
    assert 0.88 <= found.stable <= 0.95
    assert 0.86 <= found.failing["up to 60 days after it"] <= 0.95


def test_after_a_treatment_the_interval_holds_from_the_second_visit_on() -> None:
    found = after_treatment(seed=1)
    assert found.accesses > 900
    assert min(found.by_visit[visit] for visit in range(2, 7)) >= 0.85


def test_a_row_of_the_shipped_table_is_what_its_simulation_gives() -> None:
    shipped = next(row for row in operating.rows() if (row.beside, row.spread) == ("flow alone", 0.123))
    assert operating_table.made(0.10, every_months=1, beside="flow alone") == shipped
