"""The planner of sites: time of a plan, and what other orders of its aims would do; printed, gating nothing.

Run by name, with -s. All figures are in simulation, no patient data.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from access.measures.clustering import clustering
from access.measures.ground import Ground, ground, in_force
from access.measures.hydraulics import Values
from access.measures.needles import DEFAULT_SPACING
from access.measures.readings import AccessProfile
from access.measures.sites import plan
from tests.measures.histories import a_puncture, on
from tests.measures.test_clustering import SITES
from tests.measures.test_ground import MONDAY, a_vessel, least_rest, planned, random_vessels, uses

TREATMENTS, BURN_IN, VESSELS = 200, 50, 60
Score = Callable[[Values, Values], Values]  # Rest (days) and load of both sites of each pair, two rows each.
SCORES: dict[str, Score] = {
    "rest of the worse": lambda rest, load: rest.min(axis=0),
    "sum of rests": lambda rest, load: rest.sum(axis=0),
    "load of the worse": lambda rest, load: -load.max(axis=0),
    "sum of loads": lambda rest, load: -load.sum(axis=0),
}
SHIPPED = ("rest of the worse", "sum of rests", "load of the worse")
AIMS = (
    SHIPPED,
    ("rest of the worse", "sum of rests", "sum of loads"),
    ("rest of the worse", "sum of loads"),
    ("sum of rests", "sum of loads"),
    ("sum of loads",),
    ("load of the worse",),
)


def by_aims(here: Ground, *, aims: Sequence[str], treatments: int) -> list[tuple[float, float]]:
    """The pairs that an order of aims leads to, written without the planner."""
    pairs = here.pairs(gap_cm=DEFAULT_SPACING.sites_cm)
    near = np.clip(1 - np.abs(here.sites_cm[:, None] - here.sites_cm), 0, None)
    days = [int(turn * 7 / 3) for turn in range(treatments)]
    last, load, found = np.full(len(here.sites_cm), -np.inf), np.zeros(len(here.sites_cm)), []
    for turn, day in enumerate(days):
        load = load * np.exp(-(day - days[max(turn - 1, 0)]) / 60)
        left = np.arange(pairs.shape[1])
        for aim in aims:
            score = SCORES[aim]((day - last)[pairs], load[pairs])[left]
            left = left[score >= score.max() - 1e-9]
        best = pairs[:, left[0]]
        last[best], load = day, load + near[best].sum(axis=0)
        found.append((float(here.sites_cm[best[0]]), float(here.sites_cm[best[1]])))
    return found


def the_ground(access: AccessProfile) -> Ground:
    return ground(access, zones=in_force(access.zones, on=MONDAY), rules=DEFAULT_SPACING)


def figures(access: AccessProfile, *, aims: Sequence[str]) -> tuple[float, float]:
    """Least rest over the bound, and uses of the least used site over the mean."""
    here = the_ground(access)
    pairs = by_aims(here, aims=aims, treatments=TREATMENTS)
    turns: dict[float, list[int]] = {float(site): [] for site in here.sites_cm}
    for turn, pair in enumerate(pairs[BURN_IN:]):
        for site in pair:
            turns[site].append(turn)
    rested = min(int(np.diff(used).min()) for used in turns.values() if len(used) > 1)
    counts = [len(used) for used in turns.values()]
    return rested / here.rests_treatments(gap_cm=DEFAULT_SPACING.sites_cm), min(counts) / float(np.mean(counts))


def test_print_what_other_orders_of_the_aims_would_do() -> None:
    vessels = random_vessels(VESSELS)
    shipped = [(one.arterial_cm, one.venous_cm) for one in planned(vessels[0], treatments=60, rules=DEFAULT_SPACING)]
    assert shipped == by_aims(the_ground(vessels[0]), aims=SHIPPED, treatments=60)
    print(f"\n{VESSELS} random vessels, in simulation; the first order ships")
    print(f"{'':54}bound met  mean of rest / bound  least used / mean")
    for aims in AIMS:
        ratio, even = np.array([figures(one, aims=aims) for one in vessels]).T
        print(f"{', '.join(aims):54}{np.mean(ratio >= 1):8.2f}   {ratio.mean():20.3f}   {even.mean():22.2f}")


def test_print_how_near_a_plan_comes_to_the_last_needles() -> None:
    access = a_vessel(3, 17, zones=((9, 10),))
    pairs = planned(access, treatments=TREATMENTS)
    print(f"\n3-17 cm with a zone of 1 cm: least rest {least_rest(pairs, after=BURN_IN)} treatments,", end=" ")
    print(f"uses in 100 treatments {sorted(set(uses(pairs[:100]).values()))}")
    places = [(pair.arterial_cm or 0.0, pair.venous_cm or 0.0) for pair in pairs]
    for back in (1, 2, 3, 6):
        close = [
            min(abs(site - other) for pair in places[turn - back : turn] for other in pair) < 0.6
            for turn in range(BURN_IN, TREATMENTS)
            for site in places[turn]
        ]
        print(f"needles less than 0.6 cm from one of the last {back} treatments: {np.mean(close):.2f}")
    assert len(places) == TREATMENTS


def test_print_the_time_of_one_plan() -> None:
    chance, moments = np.random.default_rng(1), []
    held = [a_puncture(2 * turn, cm=float(cm)) for turn in range(150) for cm in chance.choice(SITES, 2)]
    access = replace(a_vessel(3, 17, zones=((9, 10),)), punctures=tuple(held))
    for _ in range(200):
        start = time.perf_counter()
        found = plan(access, as_of=on(301))
        moments.append(1000 * (time.perf_counter() - start))
    moments.sort()
    print(
        f"\na plan with {len(held) // 2} treatments of history: best {moments[0]:.3f} ms, median {moments[100]:.3f} ms"
    )
    assert found.arterial_cm is not None


def test_print_how_often_clustering_is_seen() -> None:
    chance, patch = np.random.default_rng(2), SITES[:5]
    print("\nshare within 2 cm   seen at the 1 % level with 12, 36 and 72 punctures (in simulation)")
    for share in (0.3, 0.4, 0.5, 0.6):
        seen = []
        for number in (12, 36, 72):
            held = [
                np.where(chance.random(number) < share, chance.choice(patch, number), chance.choice(SITES[5:], number))
                for _ in range(100)
            ]
            found = [clustering(one, sites_cm=SITES, least=12, draws=2000).p_value for one in held]
            seen.append(np.mean([p is not None and p < 0.01 for p in found]))
        assert seen[2] >= seen[0]
        print(f"{share:17.0%}   {seen[0]:.2f}   {seen[1]:.2f}   {seen[2]:.2f}")
