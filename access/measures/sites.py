"""Where to needle next: each needle goes where the skin has rested longest, the worse rested of the two first.

The plan is a proposal for sites in turn; a needle that went through a buttonhole track last time is planned there
again. How evenly a vessel has been used is told in ``clustering``, distances that are advised in ``needles``.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median

import numpy as np
from numpy.typing import NDArray

from access.measures.ground import NO_TRACK, STEP_CM, Ground, among, ground, in_force
from access.measures.hydraulics import Values
from access.measures.needles import DEFAULT_SPACING, SpacingRules
from access.measures.readiness import gauge_for_new_fistula
from access.measures.readings import AccessProfile, Puncture, ZoneReading
from access.measures.site_words import of_no_pair, of_the_pair
from access.measures.tracks import Track, tracks, used_last
from access.measures.words import NeedleRole

# A puncture counts as of the site of the grid that is nearest to it.
SAME_SITE_CM = STEP_CM / 2
# Own choices: what a puncture leaves behind fades with this time, and reaches this far.
LOAD_DAYS, LOAD_CM = 60.0, 1.0
# Sites of so many treatments before are not proposed at all, where the vessel allows it.
TREATMENTS_CLEAR = 3
# The steps of a new fistula's gauge take so long (one week each, source new-fistula-gauge and own choice).
GAUGE_WEEKS = 3
Pairs = NDArray[np.intp]  # Indices of sites, arterial above venous.
_NOISE = 1e-9


@dataclass(frozen=True, kw_only=True)
class PlannedPair:
    """A pair of sites (cm) with the days of rest of each (``None``: never needled in the record), and why these.

    Both sites are ``None`` where no pair fits, and ``reason`` says why. ``rests_treatments`` is the number of
    treatments after which some site has to come again however well one plans. ``through_track`` names the needles
    planned through a buttonhole track. ``gauge`` is empty unless a new fistula asks for a step of its own.
    """

    on: date
    arterial_cm: float | None = None
    venous_cm: float | None = None
    arterial_rest_days: int | None = None
    venous_rest_days: int | None = None
    reason: str
    rests_treatments: int | None = None
    through_track: tuple[NeedleRole, ...] = ()
    gauge: str = ""


@dataclass(frozen=True, kw_only=True)
class SiteRest:
    """How long one site (cm) has rested, and how long it usually does: the median time between its punctures, days."""

    along_cm: float
    rest_days: int | None
    usual_days: float | None
    punctures: int


@dataclass(frozen=True, kw_only=True)
class _Past:
    """Every puncture with a place: cm, day as an ordinal number, and number of its treatment, rising."""

    cm: Values
    day: NDArray[np.int64]
    turn: NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class _Choice:
    """The pairs that the zones of a day leave open, the treatments that a site can rest, and why none where none is."""

    zones: tuple[ZoneReading, ...]
    here: Ground
    pairs: Pairs
    rests_treatments: int
    none_because: str


def plan(access: AccessProfile, *, as_of: date, rules: SpacingRules = DEFAULT_SPACING) -> PlannedPair:
    """The pair of sites (cm) for the treatment of a day.

    Parameters
    ----------
    access : AccessProfile
        Its punctures count whatever came of them; a later one than ``as_of`` is not seen.
    as_of : date
        The day of the treatment.
    rules : SpacingRules
        Gap between the sites and to the anastomosis, and how far a buttonhole track reaches.

    Notes
    -----
    In this order: the longest rest of the worse rested site, the largest sum of both rests, the least remaining load
    of the more loaded site (over its punctures the sum of exp(-age / 60 d) times a triangle of 1 cm), the pair nearest
    to the anastomosis. The sites of the last k treatments are left out, k = min(3, m - 1) with the matching number m;
    where that leaves no pair k falls, and the reason says so.

    References
    ----------
    needle-spacing, own-choice, simulation
    """
    choice = _open(access, zones=in_force(access.zones, on=as_of), as_of=as_of, rules=rules)
    return _planned(access, past=_past(access.punctures, as_of=as_of), choice=choice, on=as_of)


def next_pairs(
    access: AccessProfile,
    *,
    as_of: date,
    count: int = 5,
    treatments_a_week: float = 3,
    rules: SpacingRules = DEFAULT_SPACING,
) -> tuple[PlannedPair, ...]:
    """The pairs (cm) of the treatments after that of a day, if each planned pair is used.

    Parameters
    ----------
    access, as_of, rules
        As of :func:`plan`.
    count : int
        How many treatments after that of ``as_of``; at the first one at which no pair fits the list ends.
    treatments_a_week : float
        How often the patient comes: the days are counted on from it, and no calendar is asked.
    """
    past, choice, found = _past(access.punctures, as_of=as_of), None, list[PlannedPair]()
    while len(found) <= count:
        day = as_of + timedelta(days=int(len(found) * 7 / treatments_a_week))
        zones = in_force(access.zones, on=day)
        if choice is None or choice.zones != zones:  # A zone has ended: the ground is another from now on.
            choice = _open(access, zones=zones, as_of=as_of, rules=rules)
        pair = _planned(access, past=past, choice=choice, on=day)
        if pair.arterial_cm is None or pair.venous_cm is None:
            break
        found.append(pair)
        past = _with(past, places_cm=(pair.arterial_cm, pair.venous_cm), on=day)
    return tuple(found[1:])


def rests(access: AccessProfile, *, as_of: date, rules: SpacingRules = DEFAULT_SPACING) -> tuple[SiteRest, ...]:
    """The rest (days) of every site that may be needled in turn, in order along the vessel.

    Notes
    -----
    The usual rest is that of the record and needs three days with a puncture; how fast skin heals no source at hand
    says.
    """
    here = ground(access, zones=in_force(access.zones, on=as_of), rules=rules)
    past = _past(access.punctures, as_of=as_of)
    found = []
    for site in here.sites_cm:
        at_site = past.day[np.abs(past.cm - site) <= SAME_SITE_CM]
        days = sorted(set(at_site.tolist()))
        usual = median(later - earlier for earlier, later in pairwise(days)) if len(days) > 2 else None
        rest = as_of.toordinal() - days[-1] if days else None
        found.append(SiteRest(along_cm=float(site), rest_days=rest, usual_days=usual, punctures=len(at_site)))
    return tuple(found)


def _past(punctures: Sequence[Puncture], *, as_of: date) -> _Past:
    placed = [(one.at.date().toordinal(), one.along_cm, one.treatment) for one in punctures if one.along_cm is not None]
    seen = sorted((row for row in placed if row[0] <= as_of.toordinal()), key=lambda row: row[0])
    number = {treatment: turn for turn, treatment in enumerate(dict.fromkeys(row[2] for row in seen), start=1)}
    return _Past(
        cm=np.array([row[1] for row in seen], dtype=np.float64),
        day=np.array([row[0] for row in seen], dtype=np.int64),
        turn=np.array([number[row[2]] for row in seen], dtype=np.int64),
    )


def _with(past: _Past, *, places_cm: tuple[float, float], on: date) -> _Past:
    turn = 1 + int(past.turn.max(initial=0))
    return _Past(
        cm=np.append(past.cm, places_cm),
        day=np.append(past.day, (on.toordinal(),) * 2),
        turn=np.append(past.turn, (turn, turn)),
    )


def _open(access: AccessProfile, *, zones: tuple[ZoneReading, ...], as_of: date, rules: SpacingRules) -> _Choice:
    known = tracks(access.punctures, as_of=as_of, width_cm=rules.recent_cm)
    kept = {
        role: cm
        for role, cm in _kept_cm(access, known=known, as_of=as_of).items()
        if not any(zone.from_cm <= cm <= zone.to_cm for zone in zones)
    }
    here = ground(access, zones=zones, rules=rules, tracks=known, kept_cm=kept)
    pairs = here.pairs(gap_cm=rules.sites_cm)
    return _Choice(
        zones=zones,
        here=here,
        pairs=pairs,
        rests_treatments=here.rests_treatments(gap_cm=rules.sites_cm),
        none_because="" if pairs.size else of_no_pair(access, here=here, zones=zones, tracks=known, rules=rules),
    )


def _kept_cm(access: AccessProfile, *, known: Sequence[Track], as_of: date) -> Mapping[NeedleRole, float]:
    """The needles that stay in their track: of fistulas only, and never two needles in one spot."""
    if access.kind == "graft":
        return NO_TRACK
    found = used_last(access.punctures, known=known, as_of=as_of)
    return NO_TRACK if len(set(found.values())) < len(found) else found


def _planned(access: AccessProfile, *, past: _Past, choice: _Choice, on: date) -> PlannedPair:
    here = choice.here
    if choice.none_because:
        return PlannedPair(on=on, reason=choice.none_because)
    wanted = min(TREATMENTS_CLEAR, choice.rests_treatments - 1)
    cleared, pairs = _clear_of_the_last(choice.pairs, here=here, past=past, wanted=wanted)
    rest_days, load = _rest_and_load(here.sites_cm, past=past, day=on.toordinal())
    best = _best(pairs, rest_days=rest_days, load=load)
    arterial_cm, venous_cm = here.sites_cm[best].tolist()
    arterial_rest, venous_rest = (int(days) if np.isfinite(days) else None for days in rest_days[best])
    return PlannedPair(
        on=on,
        arterial_cm=arterial_cm,
        venous_cm=venous_cm,
        arterial_rest_days=arterial_rest,
        venous_rest_days=venous_rest,
        reason=of_the_pair(here, rest_days=(arterial_rest, venous_rest), cleared=cleared, wanted=wanted),
        rests_treatments=choice.rests_treatments,
        through_track=tuple(here.kept_cm),
        gauge=_gauge(access, on=on),
    )


def _clear_of_the_last(pairs: Pairs, *, here: Ground, past: _Past, wanted: int) -> tuple[int, Pairs]:
    """The pairs without a site of the last treatments; of fewer treatments where that would leave none."""
    ago = past.turn.max(initial=0) - past.turn
    near = np.abs(here.sites_cm[:, None] - past.cm) <= SAME_SITE_CM
    kept = among(here.sites_cm, list(here.kept_cm.values()))  # The same track every time, on purpose.
    for cleared in range(wanted, 0, -1):
        used = (near & (ago < cleared)).any(axis=1) & ~kept
        left = pairs[:, ~(used[pairs[0]] | used[pairs[1]])]
        if left.size:
            return cleared, left
    return 0, pairs


def _rest_and_load(sites_cm: Values, *, past: _Past, day: int) -> tuple[Values, Values]:
    """Days since each site was last needled (infinite: never), and what its punctures have left behind."""
    apart, age = np.abs(sites_cm[:, None] - past.cm), (day - past.day).astype(np.float64)
    rest_days = np.where(apart <= SAME_SITE_CM, age, np.inf).min(axis=1, initial=np.inf)
    return rest_days, np.clip(1 - apart / LOAD_CM, 0, None) @ np.exp(-age / LOAD_DAYS)


def _best(pairs: Pairs, *, rest_days: Values, load: Values) -> Pairs:
    """The first pair in the order of :func:`plan`; pairs come in the order of their distance to the anastomosis."""
    rest, loads = rest_days[pairs], load[pairs]
    left = np.arange(pairs.shape[1])
    for score in (rest.min(axis=0), rest.sum(axis=0), -loads.max(axis=0)):
        left = left[score[left] >= score[left].max() - _NOISE]
    return pairs[:, left[0]]


def _gauge(access: AccessProfile, *, on: date) -> str:
    if access.kind != "fistula" or access.first_needled_on is None or on < access.first_needled_on:
        return ""
    weeks = (on - access.first_needled_on).days / 7
    return gauge_for_new_fistula(weeks).sentence if weeks < GAUGE_WEEKS else ""
