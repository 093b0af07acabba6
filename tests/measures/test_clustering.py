"""The fullest stretch of a vessel against chance: every case counted out, a closed form, zones and tracks."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import product

import numpy as np
import pytest
from scipy.stats import binom

from access.measures import Refused
from access.measures.clustering import clustering, clustering_of
from access.measures.ground import grid
from access.measures.readings import AccessProfile, Puncture, ZoneReading

TODAY = date(2025, 6, 2)
# 3 to 17 cm with a zone of 1 cm to keep off.
SITES = np.array([site for site in grid(3, to_cm=17) if not 9 <= site <= 10])


def punctures(*places_cm: float, technique: str = "rope-ladder") -> tuple[Puncture, ...]:
    """One puncture a day backwards from today."""
    return tuple(
        Puncture(
            id=f"p{ago}",
            treatment=f"t{ago}",
            at=datetime(2025, 6, 2, 8, tzinfo=UTC) - timedelta(days=ago),
            role="arterial" if ago % 2 else "venous",
            along_cm=cm,
            gauge=15,
            direction=None,
            technique=technique,  # type: ignore[arg-type]
            tip=None,
            outcome="in use to the end",
        )
        for ago, cm in enumerate(places_cm)
    )


def an_access(*held: Puncture, zones: tuple[ZoneReading, ...] = ()) -> AccessProfile:
    return AccessProfile(
        access="a",
        kind="fistula",
        configuration="radiocephalic",
        side="left",
        needled_from_cm=4,
        needled_to_cm=17,
        punctures=held,
        zones=zones,
    )


def off(*, since_days_ago: int) -> ZoneReading:
    since = TODAY - timedelta(days=since_days_ago)
    return ZoneReading(from_cm=9, to_cm=10, why="bulge", action="keep off", since=since)


@pytest.mark.parametrize("places", [(4, 4.5, 9, 9), (4, 4, 4, 9), (4, 7, 9, 11), (9, 9, 9, 9)])
def test_the_p_value_is_that_of_every_case_counted_out(places: tuple[float, ...]) -> None:
    sites, width = (4.0, 4.5, 7.0, 9.0, 11.0), 2.0

    def fullest(drawn: tuple[float, ...]) -> int:
        return max(sum(low <= one <= low + width for one in drawn) for low in sites)

    every = [fullest(drawn) for drawn in product(sites, repeat=4)]
    exact = sum(one >= fullest(places) for one in every) / len(every)
    found = clustering(places, sites_cm=sites, least=1)
    assert found.share == fullest(places) / 4
    # Three standard errors of the Monte Carlo.
    assert found.p_value == pytest.approx(exact, abs=3 * (exact * (1 - exact) / 20_000) ** 0.5 + 1e-4)
    assert found.chance_share == np.median(every) / 4


@pytest.mark.parametrize(("most", "printed"), [(11, 0.277), (13, 0.039), (15, 0.0032)])
def test_on_a_fine_grid_without_zones_it_is_the_closed_approximation(most: int, printed: float) -> None:
    # Wallenstein and Neff, source scan-statistic: P = (k/w - n - 1) b(k; n, w) + 2 P(Bin >= k), w = 2 cm of 14 cm.
    number, width = 36, 2 / 14
    closed = (most / width - number - 1) * binom.pmf(most, number, width) + 2 * binom.sf(most - 1, number, width)
    assert closed == pytest.approx(printed, rel=0.02)
    sites = np.linspace(0, 14, 281)
    places = np.concatenate([np.full(most, 7.0), np.resize(sites[[0, 50, 230, 280]], number - most)])
    found = clustering(places, sites_cm=sites)
    assert found.share == most / number
    # The grid of half millimetres and both ends of the stretch included put it a little above the closed form.
    assert found.p_value == pytest.approx(closed, rel=0.2)


def test_needles_in_turn_are_fuller_somewhere_than_the_even_share_and_never_clustered() -> None:
    found = clustering(np.resize(SITES, 36), sites_cm=SITES)
    assert found.even_share == pytest.approx(5 / 26)
    assert found.chance_share == pytest.approx(0.31, abs=0.01)  # The median of the study: in simulation.
    assert found.p_value is not None
    assert found.p_value > 0.8
    assert found.says.startswith("28 % of 36 punctures lie within 2 cm (3 to 5 cm); even needling: 19 %, the fullest 2")


def test_always_one_patch_is_clustered_and_says_where() -> None:
    found = clustering([8, 8.5, 7.5] * 9 + list(SITES[:13]), sites_cm=SITES)
    assert (found.from_cm, found.to_cm) == (6.5, 8.5)
    assert found.p_value is not None
    assert found.p_value < 0.001
    assert found.says.endswith("p below 0.001.")


def test_a_zone_makes_the_same_share_less_surprising() -> None:
    places = [5, 5.5, 6, 6.5, 7] * 3 + list(np.resize(SITES, 25))
    wide = clustering(places, sites_cm=np.union1d(SITES, [9, 9.5, 10]))
    narrow = clustering(places, sites_cm=SITES[(SITES < 9) | (SITES > 14)])
    assert wide.share == narrow.share
    assert wide.p_value is not None
    assert narrow.p_value is not None
    assert wide.p_value < narrow.p_value


def test_the_same_question_has_the_same_answer_in_any_order() -> None:
    places = [5, 5.5, 6, 6.5, 7] * 3 + list(np.resize(SITES, 25))
    assert clustering(places, sites_cm=SITES) == clustering(places[::-1], sites_cm=SITES[::-1])


def test_with_too_few_punctures_or_none_it_says_so_instead() -> None:
    found = clustering([8.0] * 35, sites_cm=SITES)
    assert (found.share, found.p_value, found.chance_share) == (1, None, None)
    assert found.says.endswith("At least 36 punctures are needed to tell it from chance.")
    assert clustering([], sites_cm=SITES).says == "No punctured place is recorded."
    with pytest.raises(Refused, match="place of a puncture is missing"):
        clustering([8.0, float("nan")], sites_cm=SITES)


def test_of_an_access_both_needles_count_and_tracks_and_old_needles_do_not() -> None:
    held = punctures(*np.resize(SITES, 90))
    assert clustering_of(an_access(*held), as_of=TODAY).count == 84
    assert clustering_of(an_access(*held), as_of=TODAY, weeks=4).count == 28
    holes = tuple(replace(one, technique="buttonhole") for one in held[:50])
    assert clustering_of(an_access(*holes, *held[50:]), as_of=TODAY).count == 34


def test_a_zone_takes_sites_away_only_when_it_was_in_force_all_the_time() -> None:
    # 27 sites from 4 to 17 cm; a stretch of 2 cm holds 5 of them.
    held = punctures(*np.resize(SITES[SITES >= 4], 40))
    for since, sites in ((200, 24), (20, 27)):
        found = clustering_of(an_access(*held, zones=(off(since_days_ago=since),)), as_of=TODAY)
        assert found.even_share == pytest.approx(5 / sites)


def test_needles_that_made_a_bulge_still_count_when_its_zone_is_there() -> None:
    held = punctures(*[9, 9.5] * 20)
    found = clustering_of(an_access(*held, zones=(off(since_days_ago=0),)), as_of=TODAY)
    assert (found.share, found.count) == (1, 40)
    assert found.p_value is not None
    assert found.p_value < 0.001
