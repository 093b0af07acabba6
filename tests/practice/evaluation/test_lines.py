"""The lines of figures: one a seed and one for all, which holds what the seeds hold together."""

import math

import pytest

from access.practice.evaluation.contenders import FLOW, PLAIN, contenders
from access.practice.evaluation.lines import lines
from tests.practice.evaluation.made import trial

SMALL = 120


def test_the_line_of_all_holds_the_flags_and_years_of_each_seed() -> None:
    trials = [trial("A", accesses=SMALL, seed=seed) for seed in (1, 2)]
    found = list(lines(trials))
    assert len(found) == len(PLAIN) + len(FLOW)
    for several in found:
        assert [one.seed for one in several] == ["1", "2", "all"]
        assert several[-1].false.flags == sum(one.false.flags for one in several[:-1])
        assert several[-1].false.access_years == pytest.approx(sum(one.false.access_years for one in several[:-1]))
        assert several[-1].delay.accesses == sum(one.delay.accesses for one in several[:-1])


def test_the_limit_twice_in_a_row_gains_nothing_over_itself() -> None:
    found = list(lines([trial("A", accesses=SMALL)]))
    same = next(
        one for one, _ in found if (one.contender.name, one.contender.set_by) == ("limit, twice in a row", "tuned")
    )
    assert (same.gain.days, same.gain.low_days, same.gain.high_days) == (0, 0, 0)


def test_only_the_flow_alarm_tells_how_often_it_asks() -> None:
    told = {one.contender.name for one, _ in lines([trial("A", accesses=SMALL)]) if one.asked_a_year is not None}
    assert told == {"flow trend"}


def test_rules_of_pressure_run_where_pressures_were_read_and_each_place_has_its_figures() -> None:
    under = trial("B", accesses=SMALL)
    offered = contenders(under)
    assert {"static ratio", "derived ratio", "inflow ratio", "flow + static ratio"} <= {one.name for one in offered}
    said: list[str] = []
    found = list(lines([under], say=said.append))
    assert len(said) == len(found) == len(offered)
    outlet = next(one for one, _ in found if (one.contender.name, one.contender.set_by) == ("static ratio", "tuned"))
    # A narrowing before the needles does not raise the pressure behind them.
    assert outlet.places["outflow"].delay.by_event > 0.8
    assert outlet.places["inflow"].delay.by_event < 0.3
    assert math.isinf(outlet.places["inflow"].delay.median_days)
