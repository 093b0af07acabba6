"""Where to needle next: the pair of sites that has rested longest.

It looks at rest alone, one treatment ahead; how evenly the vessel is used is not told here. The spacing that a nurse
is advised of is in ``needles``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from access.measures.needles import DEFAULT_SPACING, SpacingRules
from access.measures.readings import Puncture, ZoneReading
from access.measures.units import is_below


@dataclass(frozen=True, kw_only=True)
class PairProposal:
    """The next two sites (cm) and days of rest of each; rest ``None``: never needled in the record.

    Both sites are ``None`` where no pair fits, and ``reason`` says why in words.
    """

    arterial_cm: float | None
    venous_cm: float | None
    arterial_rest_days: int | None
    venous_rest_days: int | None
    reason: str


def propose_pair(
    punctures: Sequence[Puncture],
    *,
    from_cm: float,
    to_cm: float,
    zones: Sequence[ZoneReading],
    as_of: date,
    rules: SpacingRules = DEFAULT_SPACING,
    step_cm: float = 0.5,
) -> PairProposal:
    """The pair of sites (cm) that has rested longest, the worse rested of the two first.

    Parameters
    ----------
    punctures : sequence of Puncture
        All punctures of the segment; a later one than ``as_of`` is not seen.
    from_cm, to_cm : float
        Stretch of the vessel that may be needled.
    zones : sequence of ZoneReading
        Only those to keep off, and in force on the day, are left out.
    as_of : date
        The day of the treatment.
    rules : SpacingRules
        Gap between the sites, to the anastomosis, and within which a puncture counts as of the same site.
    step_cm : float
        Grid of the sites.

    Notes
    -----
    Larger of the smaller rest, then of the sum of rests, then nearest to the anastomosis: own choice.

    References
    ----------
    needle-spacing, own-choice
    """
    sites = _usable_sites(from_cm, to_cm=to_cm, zones=zones, as_of=as_of, rules=rules, step_cm=step_cm)
    rests = {site: _rest_days(site, punctures=punctures, as_of=as_of, rules=rules) for site in sites}
    pairs = [(a, v) for a in sites for v in sites if not is_below(v - a, rules.sites_cm, decimals=1)]
    if not pairs:
        free = f"{sites[0]:g} to {sites[-1]:g} cm" if sites else "nowhere"
        reason = f"No two sites {rules.sites_cm:g} cm apart: sites that may be needled lie {free}."
        return PairProposal(
            arterial_cm=None, venous_cm=None, arterial_rest_days=None, venous_rest_days=None, reason=reason
        )

    def preference(pair: tuple[float, float]) -> tuple[float, float, float, float]:
        first, second = rests[pair[0]], rests[pair[1]]
        return min(first, second), first + second, -pair[0], -pair[1]

    arterial, venous = max(pairs, key=preference)
    rested = tuple(int(rests[site]) if math.isfinite(rests[site]) else None for site in (arterial, venous))
    words = _rests_in_words(rested)
    return PairProposal(
        arterial_cm=arterial,
        venous_cm=venous,
        arterial_rest_days=rested[0],
        venous_rest_days=rested[1],
        reason=f"The longest rested pair: {words}.",
    )


def _rests_in_words(rested: tuple[int | None, ...]) -> str:
    if all(days is None for days in rested):
        return "neither site was needled in the record"
    parts = ("never needled in the record" if days is None else f"{days} days of rest" for days in rested)
    return " and ".join(f"{letter} {part}" for letter, part in zip("AV", parts, strict=True))


def _usable_sites(
    from_cm: float, *, to_cm: float, zones: Sequence[ZoneReading], as_of: date, rules: SpacingRules, step_cm: float
) -> list[float]:
    off = [
        zone
        for zone in zones
        if zone.action == "keep off" and zone.since <= as_of and (zone.until is None or as_of <= zone.until)
    ]
    first = math.ceil(max(from_cm, rules.anastomosis_cm) / step_cm)
    grid = [number * step_cm for number in range(first, math.floor(to_cm / step_cm) + 1)]
    return [site for site in grid if not any(zone.from_cm <= site <= zone.to_cm for zone in off)]


def _rest_days(site: float, *, punctures: Sequence[Puncture], as_of: date, rules: SpacingRules) -> float:
    """Days since the last puncture that counts as of this site; infinite where there was none."""
    return min(
        (
            float((as_of - one.at.date()).days)
            for one in punctures
            if one.along_cm is not None
            and one.at.date() <= as_of
            and is_below(abs(one.along_cm - site), rules.recent_cm, decimals=1)
        ),
        default=math.inf,
    )
