"""The pressure ratios of a cohort: made at once as the program makes them of one, and what their score sees."""

from functools import cache

import numpy as np
import pytest

from access.measures import operating
from access.measures.departure import departure_of
from access.measures.hydraulics import Values
from access.measures.pressure_series import PressureSeries, Quantity, derived_series, inflow_series, static_series
from access.measures.protocol import DEFAULT, load
from access.practice.cohorts import hydraulic, merit, ratio_table
from access.practice.cohorts.cohort import Cohort
from access.practice.cohorts.profile import moment, profile_of
from access.practice.cohorts.ratios import MADE, scored
from tests.practice.cohorts.made import b_cohort

QUANTITIES: tuple[Quantity, ...] = ("static ratio", "derived static ratio", "inflow ratio")
LAST = moment(5.0)


def of_one(quantity: Quantity, index: int) -> PressureSeries:
    known, protocol = profile_of(b_cohort(), index, until=LAST), load(DEFAULT)
    if quantity == "static ratio":
        return static_series(known, protocol=protocol, as_of=LAST)
    make = derived_series if quantity == "derived static ratio" else inflow_series
    return make(known, protocol=protocol, as_of=LAST)


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_a_cohort_gives_what_the_program_gives_of_each_access(quantity: Quantity) -> None:
    made, seen = MADE[quantity](b_cohort()), scored(b_cohort(), quantity=quantity)
    # The lowest blood pressures too: there many treatments give no ratio.
    lowest = int(np.argmin(np.mean(b_cohort().mean_arterial_mmhg, axis=0)))
    for index in (0, 1, lowest):
        one = of_one(quantity, index)
        there = made.batch.weights[:, index] > 0
        # The last week of the cohort may be cut short; it makes no row there.
        rows = slice(int(there.sum()))
        assert len(one.rows) - int(there.sum()) in (0, 1)
        assert made.batch.values[there, index] == pytest.approx([row.ratio for row in one.rows][rows], abs=1e-12)
        levels = [np.nan if held is None else held.level for held in one.baselines][rows]
        assert made.baseline[there, index] == pytest.approx(levels, abs=1e-12, nan_ok=True)
        assert seen.score[there, index] == pytest.approx(_score(one)[rows], abs=1e-9, nan_ok=True)


def _score(one: PressureSeries) -> Values:
    found = departure_of(one)
    return np.where(found.asked, np.inf, found.score)


@pytest.mark.parametrize(
    ("quantity", "place"),
    [("static ratio", "outflow"), ("derived static ratio", "outflow"), ("inflow ratio", "inflow")],
)
def test_a_ratio_sees_its_own_place_and_is_blind_to_the_others(quantity: Quantity, place: str) -> None:
    # In simulation, no patient data; blind as the study found it.
    cohort = b_cohort()
    flags = scored(cohort, quantity=quantity).raised(operating.ratio_cut(quantity).value)
    own = merit.delay(flags, cohort=cohort, seed=1, among=cohort.places == place)
    others = merit.delay(flags, cohort=cohort, seed=1, among=cohort.places != place)
    assert own.by_60_days > (0.9 if place == "outflow" else 0.5)
    assert others.by_60_days < 0.2


@cache
def reference() -> Cohort:
    return hydraulic.cohort(ratio_table.REFERENCE, seed=ratio_table.SEED)


def test_the_row_of_the_static_ratio_is_made_again() -> None:
    assert ratio_table.made(reference(), quantity="static ratio") == operating.ratio_rows()["static ratio"]
