"""How unevenly a vessel was needled: the fullest short stretch of it, held against what chance alone would make.

The fullest of many stretches always holds more than its even share, so the share alone tells little; the p-value is
worked out when asked for. What raises a flag is the share, in ``rules.needles``. Buttonhole tracks are left out: there
the same spot is intended.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import ArrayLike, NDArray

from access.measures import Refused
from access.measures.ground import STEP_CM, ground
from access.measures.hydraulics import Values
from access.measures.needles import DEFAULT_SPACING, SpacingRules
from access.measures.readings import AccessProfile, Puncture, ZoneReading
from access.measures.tracks import through_track
from access.measures.units import shown

WINDOW_CM, WEEKS = 2.0, 12.0
# Own choice from simulation: fewer punctures tell nothing apart.
LEAST = 36
DRAWS, SEED = 20_000, 1
_NOISE = 1e-9


@dataclass(frozen=True, kw_only=True)
class Clustering:
    """The fullest stretch of the vessel: ``count`` punctures in all, ``share`` (fraction) of them within from-to (cm).

    ``even_share`` is the fraction of the sites that such a stretch can hold; ``chance_share`` what the fullest stretch
    of needles spread by chance holds in the median; ``p_value`` how often chance fills one as much. ``None``: not
    worked out, and ``says`` tells why.
    """

    count: int
    share: float | None = None
    from_cm: float | None = None
    to_cm: float | None = None
    even_share: float | None = None
    chance_share: float | None = None
    p_value: float | None = None
    says: str


def clustering(
    along_cm: ArrayLike,
    *,
    sites_cm: ArrayLike,
    window_cm: float = WINDOW_CM,
    least: int = LEAST,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Clustering:
    """The fullest stretch (fraction of the punctures) and the p-value of as full a one if every site were as likely.

    Parameters
    ----------
    along_cm : array_like
        Places of the punctures, both needles together, cm.
    sites_cm : array_like
        Every site that could have been used, cm; a place of a puncture that is not among them is added.
    window_cm : float
        Length of the stretch, both ends included, cm.
    least : int
        With fewer punctures no p-value is given.
    draws, seed : int
        Of the Monte Carlo; the same seed gives the same p-value.

    Notes
    -----
    Scan statistic with a fixed number of punctures; null: multinomial, equal over the sites. Of ``draws`` simulated
    maxima b are at least the one seen: p = (b + 1) / (draws + 1). One-sided: needles in turn give p near 1.

    References
    ----------
    scan-statistic, simulation
    """
    along = np.sort(np.asarray(along_cm, dtype=np.float64))
    if not np.all(np.isfinite(along)):
        raise Refused("A place of a puncture is missing.", field="along_cm")
    if not len(along):
        return Clustering(count=0, says="No punctured place is recorded.")
    sites = np.union1d(np.asarray(sites_cm, dtype=np.float64), along)
    windows = _windows(sites, window_cm=window_cm)
    counts = np.bincount(np.searchsorted(sites, along), minlength=len(sites))
    seen = _in_windows(counts[None, :], windows=windows)[0]
    fullest, here = int(seen.max()), windows[int(seen.argmax())]
    inside = along[(along >= sites[here[0]]) & (along <= sites[here[1] - 1])]
    null = None if len(along) < least else _null_maxima(len(along), windows=windows, draws=draws, seed=seed)
    return _told(
        count=len(along),
        share=fullest / len(along),
        stretch_cm=(float(inside[0]), float(inside[-1])),
        even_share=float(np.max(windows[:, 1] - windows[:, 0])) / len(sites),
        chance_share=None if null is None else float(np.median(null)) / len(along),
        p_value=None if null is None else float(1 + np.sum(null >= fullest)) / (len(null) + 1),
        window_cm=window_cm,
        least=least,
    )


def clustering_of(
    access: AccessProfile,
    *,
    as_of: date,
    weeks: float = WEEKS,
    window_cm: float = WINDOW_CM,
    least: int = LEAST,
    rules: SpacingRules = DEFAULT_SPACING,
) -> Clustering:
    """The fullest stretch (fraction) of the last weeks of an access, on the sites that it had in that time.

    Notes
    -----
    Arterial and venous punctures together, whatever came of them, each at the nearest half centimetre; those through a
    buttonhole track are left out. A zone to keep off takes sites away only when it was in force all that time: the
    needles that made a bulge went in before its zone.

    References
    ----------
    own-choice
    """
    begin = as_of - timedelta(days=round(7 * weeks))
    seen = [
        one.along_cm for one in access.punctures if one.along_cm is not None and _counts(one, begin=begin, end=as_of)
    ]
    zones = [zone for zone in access.zones if _all_the_time(zone, begin=begin, end=as_of)]
    sites = ground(access, zones=zones, rules=rules).sites_cm
    placed = np.round(np.array(seen, dtype=np.float64) / STEP_CM) * STEP_CM
    return clustering(placed, sites_cm=sites, window_cm=window_cm, least=least)


def _counts(one: Puncture, *, begin: date, end: date) -> bool:
    return not through_track(one) and begin < one.at.date() <= end


def _all_the_time(zone: ZoneReading, *, begin: date, end: date) -> bool:
    return zone.action == "keep off" and zone.since <= begin and (zone.until is None or end <= zone.until)


def _windows(sites_cm: Values, *, window_cm: float) -> NDArray[np.intp]:
    """For each site the stretch that begins at it, as the index of its first site and of the one after its last."""
    end = np.searchsorted(sites_cm, sites_cm + window_cm + _NOISE, side="right")
    return np.stack([np.arange(len(sites_cm)), end], axis=1)


def _in_windows(counts: NDArray[np.intp], *, windows: NDArray[np.intp]) -> NDArray[np.intp]:
    """The punctures within each stretch, of each row of counts by site."""
    before = np.zeros((len(counts), counts.shape[1] + 1), dtype=np.intp)
    np.cumsum(counts, axis=1, out=before[:, 1:])
    return before[:, windows[:, 1]] - before[:, windows[:, 0]]


def _null_maxima(count: int, *, windows: NDArray[np.intp], draws: int, seed: int) -> NDArray[np.intp]:
    even = np.full(len(windows), 1 / len(windows))
    drawn = np.random.default_rng(seed).multinomial(count, even, size=draws)
    maxima: NDArray[np.intp] = _in_windows(drawn, windows=windows).max(axis=1)
    return maxima


def _told(
    *,
    count: int,
    share: float,
    stretch_cm: Sequence[float],
    even_share: float,
    chance_share: float | None,
    p_value: float | None,
    window_cm: float,
    least: int,
) -> Clustering:
    where = f"{stretch_cm[0]:g} to {stretch_cm[1]:g} cm"
    said = f"{_percent(share)} of {count} punctures lie within {window_cm:g} cm ({where}); even needling: "
    said += _percent(even_share)
    if chance_share is None or p_value is None:
        said += f". At least {least} punctures are needed to tell it from chance."
    else:
        said += f", the fullest {window_cm:g} cm by chance: {_percent(chance_share)}; {_p_in_words(p_value)}."
    return Clustering(
        count=count,
        share=share,
        from_cm=stretch_cm[0],
        to_cm=stretch_cm[1],
        even_share=even_share,
        chance_share=chance_share,
        p_value=p_value,
        says=said,
    )


def _p_in_words(p_value: float) -> str:
    if p_value < 0.001:
        return "p below 0.001"
    return "p above 0.99" if p_value > 0.99 else f"p {shown(p_value, decimals=3)}"


def _percent(share: float) -> str:
    return f"{shown(100 * share, decimals=0)} %"
