"""One access of a cohort in the words of the readings: all that was read by then, and nothing later."""

from datetime import timedelta

import numpy as np
import pytest

from access.measures import protocol
from access.measures.pressure import standardized_dynamic
from access.measures.rules import evaluate
from access.practice.cohorts.plain import treatments_of
from access.practice.cohorts.profile import START, moment, profile_of, years_of
from tests.practice.cohorts.made import a_cohort, b_cohort

HALF_A_YEAR = START + timedelta(days=183)


def test_flows_are_the_measured_ones_and_missed_ones_are_absent() -> None:
    cohort = a_cohort()
    for access in range(5):
        column = cohort.log_flow[:, access]
        profile = profile_of(cohort, access, until=START + timedelta(days=2000))
        assert [one.ml_min for one in profile.flows] == pytest.approx(np.exp(column[np.isfinite(column)]).tolist())
        assert not profile.dynamics and not profile.ratios


def test_nothing_later_than_asked_for_is_known() -> None:
    profile = profile_of(b_cohort(), 4, until=HALF_A_YEAR)
    series = (profile.flows, profile.treatments, profile.ratios, profile.dynamics)
    assert all(one.at <= HALF_A_YEAR for some in series for one in some)
    assert len(profile.treatments) == 79  # 26 weeks of three, and the Monday of the next.
    assert len({one.id for some in series for one in some}) == sum(len(some) for some in series)


def test_each_treatment_has_a_standardized_reading_and_one_at_the_prescribed_speed() -> None:
    cohort = b_cohort()
    held = treatments_of(cohort)
    profile = profile_of(cohort, 9, until=HALF_A_YEAR)
    standard = [one for one in profile.dynamics if standardized_dynamic(one).counts]
    running = [one for one in profile.dynamics if not standardized_dynamic(one).counts]
    assert len(standard) == len(profile.treatments)
    assert [one.venous_mmhg for one in standard] == held.standard_venous_mmhg[: len(standard), 9].tolist()
    assert [one.venous_mmhg for one in running] == held.venous_mmhg[: len(running), 9].tolist()
    assert {one.pump_ml_min for one in running} == {float(held.pump_ml_min[9])}


def test_static_ratios_stand_at_their_treatments_for_both_needles() -> None:
    cohort = b_cohort()
    held, profile = treatments_of(cohort), profile_of(cohort, 2, until=HALF_A_YEAR)
    for role, ratios in (("arterial", held.arterial_ratio), ("venous", held.venous_ratio)):
        of_role = [one for one in profile.ratios if one.role == role]
        assert [one.ratio for one in of_role] == ratios[: len(of_role), 2].tolist()
        assert [years_of(one.at) for one in of_role] == pytest.approx(
            held.years[held.static_at][: len(of_role)], abs=1e-3
        )


def test_the_program_judges_a_simulated_access_as_it_judges_any_other() -> None:
    cohort = b_cohort()
    outlet = int(np.flatnonzero((cohort.places == "outflow") & (cohort.event_years < 3.5))[0])
    as_of = moment(float(cohort.event_years[outlet]) + 0.4)
    profile = profile_of(cohort, outlet, until=as_of)
    rules = {one.rule for one in evaluate(profile, protocol=protocol.load("kdoqi-2006"), as_of=as_of)}
    assert rules & {"flow.limit", "outlet.static-ratio"}
