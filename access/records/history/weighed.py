"""What the numbers of an access say together: where it narrows, how evenly it is needled, how long each site rested.

It takes longer than a page may wait, so it is worked out when somebody asks. It puts results of ``access.measures``
into words and plain data; it raises nothing, and imaging decides.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import groupby
from statistics import median
from typing import Any

from access.measures.clustering import WEEKS, WINDOW_CM, Clustering, clustering_of
from access.measures.narrowing_picture import picture_of
from access.measures.narrowing_place import MEASURES, Measure, Picture, Quantity, Taken, place_of_narrowing
from access.measures.placing import Placing
from access.measures.protocol import Protocol
from access.measures.readings import AccessProfile
from access.measures.rules.say import day
from access.measures.sites import SiteRest, plan, rests
from access.measures.units import as_shown, shown
from access.records.history.stepped import stepped
from access.records.history.worked import IN_SIMULATION, Input, worked

_UNITS: dict[Measure, str] = {"flow": "mL/min", "venous pressure": "mmHg", "pre-pump pressure": "mmHg"}


def weighed(profile: AccessProfile, *, protocol: Protocol, as_of: datetime) -> list[dict[str, Any]]:
    """What the numbers of one access say together, each with how it is worked out.

    Parameters
    ----------
    profile : AccessProfile
        All that is known of the access.
    protocol : Protocol
        The limits in force.
    as_of : datetime
        The moment of asking, in the clinic's zone.
    """
    return [
        _narrowing(picture_of(profile, protocol=protocol, as_of=as_of)),
        _evenness(clustering_of(profile, as_of=as_of.date()), profile=profile),
        _rests(profile, as_of=as_of),
        *stepped(profile),
    ]


def _item(
    id_: str,
    *,
    title: str,
    sentence: str,
    lines: Iterable[str],
    worked: dict[str, Any],
    table: dict[str, Any] | None = None,
) -> dict[str, Any]:
    kept = [line for line in lines if line]
    return {"id": id_, "title": title, "sentence": sentence, "lines": kept, "table": table, "worked": worked}


def _narrowing(picture: Picture) -> dict[str, Any]:
    found = place_of_narrowing(picture)
    return _item(
        "narrowing",
        title="Where it narrows",
        sentence=found.sentence,
        lines=_about_the_place(found),
        worked=worked(["narrowing.place"], inputs=_of_the_picture(picture), doubt=IN_SIMULATION),
    )


def _about_the_place(found: Placing) -> list[str]:
    since = f"Only what was measured since {found.since} counts." if found.since and found.numbers else ""
    missing = f"Missing, or weak: {'; '.join(found.missing)}." if found.missing else ""
    return [_sentence(", ".join(found.shares)), since, missing]


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _of_the_picture(picture: Picture) -> list[Input]:
    quantities = [(name, picture.quantities[name]) for name in MEASURES if name in picture.quantities]
    gauges = f"A {picture.arterial_gauge}G and V {picture.venous_gauge}G"
    conditions = (
        f"pump {picture.pump_ml_min:.0f} mL/min, {gauges}, mean arterial pressure {picture.mean_arterial_mmhg:.0f} "
        f"mmHg, hematocrit {shown(picture.hematocrit_fraction, decimals=2)}"
    )
    signs = (*picture.inflow_signs, *picture.outflow_signs, *picture.other_signs)
    return [
        *((_capital(name), _quantity(name, quantity)) for name, quantity in quantities),
        ("Odd signs", ", ".join(signs)),
        ("Taken at", conditions if quantities else ""),
    ]


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _quantity(name: Measure, quantity: Quantity) -> str:
    """The number now and the one before, as ``700 mL/min, 3 May 2025; before 1100 mL/min, middle of 3 to ...``."""
    now = _taken(name, quantity.now)
    return now if quantity.before is None else f"{now}; before {_taken(name, quantity.before)}"


def _taken(name: Measure, taken: Taken) -> str:
    value = f"{taken.value:.{2 if 'ratio' in name else 0}f}".replace("-", "\N{MINUS SIGN}")
    days = list(dict.fromkeys(day(one.at) for one in taken.inputs))
    when = days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
    middle = f"middle of {taken.count}, " if taken.count > 1 else ""
    return f"{value} {_UNITS.get(name, '')}".rstrip() + f", {middle}{when}"


def _evenness(found: Clustering, *, profile: AccessProfile) -> dict[str, Any]:
    to_cm = profile.needled_to_cm
    needled = "" if to_cm is None else f"{profile.needled_from_cm:g} to {to_cm:g} cm"
    even = "" if found.even_share is None else f"{shown(100 * found.even_share, decimals=0)} %"
    return _item(
        "evenness",
        title=f"How evenly it was needled in {WEEKS:g} weeks",
        sentence=found.says,
        lines=[_chance(found.p_value)],
        worked=worked(
            ["sites.clustering"],
            inputs=[
                ("Punctures", f"{found.count}, both needles together, none through a track"),
                ("Needled length", needled),
                ("Stretch", f"{WINDOW_CM:g} cm"),
                ("Even share", even),
            ],
            doubt=IN_SIMULATION,
        ),
    )


def _chance(p_value: float | None) -> str:
    if p_value is None:
        return ""
    return f"Needles spread by chance alone would fill a stretch as much in {_often(p_value)}."


def _often(p_value: float) -> str:
    """A probability as a count of records."""
    of_hundred, of_thousand = (as_shown(count * p_value, decimals=0) for count in (100, 1000))
    if of_thousand < 1:
        return "fewer than 1 of 1000 such records"
    if of_hundred < 1:
        return f"about {of_thousand:.0f} of 1000 such records"
    return f"about {of_hundred:.0f} of 100 such records" if of_hundred < 100 else "more than 99 of 100 such records"


def _rests(profile: AccessProfile, *, as_of: datetime) -> dict[str, Any]:
    found = rests(profile, as_of=as_of.date())
    usual = [one.usual_days for one in found if one.usual_days is not None]
    usually = f"A site usually rests {shown(median(usual), decimals=1)} days (median)." if usual else ""
    placed = sum(one.along_cm is not None for one in profile.punctures)
    return _item(
        "rests",
        title="How long each site has rested",
        sentence=_rested(found) if found else plan(profile, as_of=as_of.date()).reason,
        lines=[usually],
        table=_table(found) if found else None,
        worked=worked(["sites.rests"], inputs=[("Punctures with a place", f"{placed}"), ("Sites", f"{len(found)}")]),
    )


def _rested(found: Sequence[SiteRest]) -> str:
    days = sorted(one.rest_days for one in found if one.rest_days is not None)
    never = len(found) - len(days)
    if not days:
        return f"None of the {len(found)} sites was needled in the record."
    ago = f"{days[0]} days ago" if days[0] == days[-1] else f"{days[0]} to {days[-1]} days ago"
    return f"Of {len(found)} sites {len(days)} were last needled {ago}; {never or 'none'} never in the record."


def _table(found: Sequence[SiteRest]) -> dict[str, Any]:
    """One row a site, along the vessel; neighbours that were never needled share one."""
    rows: list[list[str]] = []
    for needled, some in groupby(found, key=lambda one: one.rest_days is not None):
        sites = list(some)
        rows += [_row(one) for one in sites] if needled else [_never(sites)]
    return {"columns": ["Site, cm", "Days of rest", "Usual days", "Punctures"], "rows": rows}


def _row(one: SiteRest) -> list[str]:
    usual = "–" if one.usual_days is None else shown(one.usual_days, decimals=1)
    return [f"{one.along_cm:g}", f"{one.rest_days}", usual, f"{one.punctures}"]


def _never(sites: Sequence[SiteRest]) -> list[str]:
    first, last = sites[0].along_cm, sites[-1].along_cm
    return [f"{first:g}" if first == last else f"{first:g} to {last:g}", "never needled", "–", "0"]
