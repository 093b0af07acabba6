"""A ratio that leaves its baseline: the score by another way, one and many alike, and what it does not say."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from access.measures.departure import Departure, departed, departure_of
from access.measures.pressure_series import RATIO_TREND, derived_series, inflow_series, static_series
from access.measures.series import Batch, Series, series, side_by_side
from access.measures.trend import fit
from tests.measures.histories import CONFIRMED, an_event, at, ratios
from tests.measures.pressures import lived

FEW = st.lists(st.floats(0.05, 0.9), min_size=1, max_size=12)


def a_series(values: list[float], *, resets: int | None = None) -> Series:
    """Readings two weeks apart, with a change of the vessel before one of them."""
    count = np.arange(len(values))
    return series(count / 26, measured=values, variances=0.055**2, resets=count == resets)


def score(batch: Batch, *, level: float = 0.35, sd: float = 0.03, rises: bool = True) -> np.ndarray:
    return departed(batch, baseline=level, baseline_sd=sd, rises=rises).score


@given(FEW)
def test_the_score_is_a_normal_probability_of_the_filtered_level(values: list[float]) -> None:
    # SciPy's normal distribution, on a filter that is held against dense conditioning in its own tests.
    one = a_series(values, resets=3)
    known = fit(one, parameters=RATIO_TREND).filtered
    sd = np.sqrt(known.level_variance + 0.03**2)
    expected = norm.sf(0.35 + Departure().by, loc=known.level, scale=sd)
    nothing_asked = departed(
        side_by_side([one]), baseline=0.35, baseline_sd=0.03, rises=True, departure=Departure(doubted_above=1.0)
    )
    assert nothing_asked.score == pytest.approx(expected, abs=1e-10)


@given(st.lists(FEW, min_size=2, max_size=6))
def test_many_accesses_at_once_are_each_what_they_are_alone(many: list[list[float]]) -> None:
    given_ = [a_series(values, resets=2) for values in many]
    together = score(side_by_side(given_))
    for place, one in enumerate(given_):
        alone = score(side_by_side([one]))[:, 0]
        assert together[len(together) - len(one) :, place] == pytest.approx(alone, abs=1e-12)


@given(FEW)
def test_a_fall_is_a_rise_seen_in_a_mirror(values: list[float]) -> None:
    mirrored = [2 * RATIO_TREND.prior_level - one for one in values]
    rise, fall = score(side_by_side([a_series(values)])), score(side_by_side([a_series(mirrored)]), rises=False)
    assert fall == pytest.approx(rise, abs=1e-9)


@pytest.mark.parametrize(("spread", "weeks", "cut"), [(0.055, 2, 0.64), (0.085, 1, 0.69)])
@pytest.mark.parametrize("before", [6, 26])
def test_a_larger_lasting_change_never_speaks_later_than_a_smaller_one(
    spread: float, weeks: int, cut: float, before: int
) -> None:
    firsts, sure = [], []
    for rise in np.arange(0.16, 0.6, 0.02):
        risen = [0.35] * before + [0.35 + rise] * 12
        one = series(np.arange(len(risen)) * weeks / 52, measured=risen, variances=spread**2)
        found = departed(side_by_side([one]), baseline=0.35, baseline_sd=0.025, rises=True)
        firsts.append(int(np.argmax(found.flagged(cut)[:, 0])) - before)
        sure.append(int(np.argmax(found.score[:, 0] >= cut)) - before)
    assert np.all(np.diff(firsts) <= 0)
    assert np.all(np.array(sure)[np.array(firsts) == 0] == 1)
    assert 0 < max(firsts) < 12 and firsts[-1] == 0


def test_a_single_wild_reading_is_asked_about_and_not_believed_and_its_repeat_is() -> None:
    once = departed(side_by_side([a_series([0.35] * 6 + [0.95, 0.35])]), baseline=0.35, baseline_sd=0.03, rises=True)
    assert once.asked[:, 0].tolist() == [False] * 6 + [True, False]
    assert once.score[-2, 0] < 0.3 and once.before[-2, 0] == pytest.approx(0.35, abs=0.02)
    again = departed(side_by_side([a_series([0.35] * 6 + [0.95, 0.95])]), baseline=0.35, baseline_sd=0.03, rises=True)
    assert again.score[-1, 0] > 0.99


def test_what_is_far_off_on_the_other_side_or_only_comes_back_to_its_baseline_is_not_asked_about() -> None:
    low = departed(side_by_side([a_series([0.6] * 6 + [0.05])]), baseline=0.6, baseline_sd=0.03, rises=True)
    back = departed(side_by_side([a_series([0.1] * 6 + [0.6])]), baseline=0.6, baseline_sd=0.03, rises=True)
    assert not low.asked.any() and not back.asked.any()


def test_a_doubt_ends_where_the_vessel_is_changed() -> None:
    # The filter alone believes nothing: after a change the level is just its own.
    for resets, alike in ((7, True), (None, False)):
        wild = a_series([0.35] * 6 + [0.95, 0.6], resets=resets)
        found = departed(side_by_side([wild]), baseline=0.35, baseline_sd=0.03, rises=True)
        alone = fit(wild, parameters=RATIO_TREND).filtered.level[-1, 0]
        assert (float(found.level[-1, 0]) == pytest.approx(float(alone), abs=1e-12)) is alike


def test_nothing_measured_and_no_baseline_say_nothing() -> None:
    gap = side_by_side([a_series([0.35, np.nan, 0.6])])
    assert np.isnan(score(gap)).tolist() == [[False], [True], [False]]
    assert np.isnan(score(gap, level=np.nan)).all()
    assert score(side_by_side([a_series([])])).shape == (0, 1)


def test_a_less_sure_baseline_makes_a_departure_less_sure() -> None:
    risen = side_by_side([a_series([0.35] * 6 + [0.6] * 3)])
    assert score(risen, sd=0.15)[-1, 0] < score(risen, sd=0.02)[-1, 0]


def test_each_row_of_a_record_is_held_against_the_baseline_before_it() -> None:
    steady = ratios(*((14.0 * number, 0.3) for number in range(12)))
    found = departure_of(static_series(steady, protocol=CONFIRMED, as_of=at(400)))
    assert np.isnan(found.score).tolist() == [True] * 4 + [False] * 8
    assert found.score[-1] < 0.05


@pytest.mark.parametrize(("place", "rises"), [("outflow_percent", True), ("inflow_percent", False)])
def test_a_narrowing_of_its_place_leaves_the_baseline_of_its_own_ratio_only(place: str, rises: bool) -> None:
    # Circuit model, 12 mmHg of noise a treatment, fixed seed; no patient data.
    narrowing = [0.0] * 14 + [float(percent) for percent in np.linspace(0, 60, 20)] + [60.0] * 6
    access = lived(narrowing, place=place, noise_mmhg=12)
    venous = departure_of(derived_series(access, protocol=CONFIRMED, as_of=at(400))).score[-1]
    arterial = departure_of(inflow_series(access, protocol=CONFIRMED, as_of=at(400))).score[-1]
    assert (venous > 0.95 and arterial < 0.05) if rises else (arterial > 0.95 and venous < 0.05)


def test_a_change_of_the_vessel_starts_anew() -> None:
    access = lived([0.0] * 14 + [60.0] * 6)
    treated = replace(access, events=(an_event(97, "angioplasty"),))
    assert departure_of(derived_series(access, protocol=CONFIRMED, as_of=at(400))).score[-1] > 0.9
    anew = departure_of(derived_series(treated, protocol=CONFIRMED, as_of=at(400))).score
    assert not np.any(anew[14:] > 0.5)
