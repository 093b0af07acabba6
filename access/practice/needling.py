"""Where and how the invented needles go in: sites in turn, a track, or always one patch, and what goes wrong.

It gives the entries of a treatment document; pressures and findings are in ``sheet``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np

from access.measures.words import NeedleRole
from access.practice import chance
from access.practice.accesses import REACH, Truth
from access.practice.course import Course

# Shares of treatments, invented: one needle that does not get in, one that goes through the wall.
FAILED_SHARE, INFILTRATED_SHARE = 0.012, 0.0015
INFILTRATED_CM = (15.5, 17.0)  # The two tries of the infiltration's story; the third went in at 19 cm.
SENIOR = "Ines Takahara"  # Who needles after two failed tries, of fixtures/demo/people.toml.
ICE = "Needle out, pressed, ice for 20 minutes"


@dataclass(frozen=True, kw_only=True)
class Moment:
    """One treatment of a course, its times and its nurse."""

    course: Course
    index: int
    nurse: str
    start: datetime
    end: datetime

    @property
    def ordinal(self) -> int:
        """Which treatment it is, -1 the last before the story moment."""
        return int(self.course.ordinals[self.index])

    def key(self, *what: object) -> str:
        """The id of a part of this treatment."""
        course = self.course
        return str(chance.record_id(self.start, course.seed, course.person.name, int(course.days[self.index]), *what))


@dataclass(frozen=True, kw_only=True)
class Odds:
    """What chance says of the needles of every treatment of a course."""

    failed: chance.Values
    infiltrated: chance.Values
    which: chance.Values
    pain: chance.Values
    arterial_with_flow: bool
    first_visit: int  # Where the person stood in the turn of the sites.


def odds_of(course: Course) -> Odds:
    """The chances of a course, drawn once."""
    with_flow = chance.between(0, 1, course.seed, course.person.name, "direction") < 0.4
    return Odds(
        failed=course.shares("needle failed"),
        infiltrated=course.shares("needle infiltrated"),
        which=course.shares("which needle"),
        pain=course.shares("pain"),
        arterial_with_flow=with_flow,
        first_visit=int(chance.between(0, 100, course.seed, course.person.name, "visit")) - int(course.ordinals[0]),
    )


def needles(moment: Moment, *, odds: Odds) -> list[dict[str, Any]]:
    """Every puncture of a treatment, in the order in which they were made."""
    route = moment.course.routes[moment.index]
    roles: tuple[NeedleRole, ...] = ("arterial", "venous") if route == "two needles" else ("arterial",)
    if route not in ("two needles", "needle and catheter lumen"):
        return []
    found: list[dict[str, Any]] = []
    for role in roles:
        found += _tries(moment, role=role, odds=odds, place_cm=site_cm(moment, role=role, odds=odds))
    return found


def _tries(moment: Moment, *, role: NeedleRole, odds: Odds, place_cm: float) -> Iterator[dict[str, Any]]:
    """The failed tries of one needle, and the one that stayed in."""
    begun = moment.start - timedelta(minutes=9 if role == "arterial" else 6)
    said = _unlucky(moment, role=role, odds=odds)
    for number, outcome in enumerate(said):
        at = begun - timedelta(minutes=5 * (len(said) - number))
        beside = _beside(place_cm, number=number, role=role, moment=moment)
        entry = _entry(moment, role=role, number=number, odds=odds, place_cm=beside)
        action = ICE if outcome == "infiltrated" else "Needle out, pressed"
        extent = "about 4 cm, soft" if outcome == "infiltrated" else ""
        times = {"in_at": clock(at), "out_at": clock(at + timedelta(minutes=3))}
        yield entry | times | {"outcome": outcome, "action_taken": action, "extent": extent}
    entry = _entry(moment, role=role, number=len(said), odds=odds, place_cm=place_cm)
    if moment.course.truth.infiltrated_at == moment.ordinal and role == "venous":
        entry |= {"needled_by_name": SENIOR}
    yield entry | {"in_at": clock(begun), "out_at": clock(moment.end + timedelta(minutes=4))}


def _unlucky(moment: Moment, *, role: NeedleRole, odds: Odds) -> list[str]:
    """How the tries before the one that stayed in ended."""
    if moment.course.truth.infiltrated_at == moment.ordinal:
        return ["infiltrated", "failed"] if role == "venous" else []
    mine = (odds.which[moment.index] < 0.5) == (role == "arterial")
    if not mine or -3 < moment.ordinal < 1:
        return []
    if odds.infiltrated[moment.index] < INFILTRATED_SHARE:
        return ["infiltrated"]
    return ["failed"] if odds.failed[moment.index] < FAILED_SHARE else []


def _beside(place_cm: float, *, number: int, role: NeedleRole, moment: Moment) -> float:
    """Where a failed try went in: not in the spot of the needle that stayed."""
    if moment.course.truth.infiltrated_at == moment.ordinal:
        return INFILTRATED_CM[number]
    low, high = REACH[moment.course.truth.configuration].needled
    away = place_cm + (1.5 if role == "venous" else -1.5) * (number + 1)
    return away if low <= away <= high else place_cm + (-1.5 if role == "venous" else 1.5) * (number + 1)


def _entry(moment: Moment, *, role: NeedleRole, number: int, odds: Odds, place_cm: float) -> dict[str, Any]:
    truth, pain = moment.course.truth, int(4 * odds.pain[moment.index] ** 2)
    with_flow = role == "venous" or odds.arterial_with_flow
    return {
        "id": moment.key("needle", role, number),
        "role": role,
        "along_cm": place_cm,
        "across_cm": 0.0,
        "gauge": truth.gauge,
        "direction": "with the flow" if with_flow else "against the flow",
        "technique": truth.technique,
        "tip": "blunt" if truth.technique == "buttonhole" else "sharp",
        "pain": pain,
        "needled_by": "staff",
        "needled_by_name": moment.nurse,
        "skin": "sound",
    }


def site_cm(moment: Moment, *, role: NeedleRole, odds: Odds) -> float:
    """Where a needle goes, in cm from the arterial anastomosis."""
    truth, visit = moment.course.truth, moment.ordinal + odds.first_visit
    if truth.technique == "area" and moment.ordinal < -1:
        return _in_the_patch(moment, role=role)
    if truth.infiltrated_at == moment.ordinal and role == "venous":
        return 19.0
    sites = usable(truth, role=role, ordinal=moment.ordinal)
    if truth.technique == "buttonhole":
        return sites[2 if role == "arterial" else -3]
    return sites[visit % len(sites)]


def usable(truth: Truth, *, role: NeedleRole, ordinal: int) -> list[float]:
    """The sites of one needle in turn: whole steps of a centimetre up the vessel, then the half ones between."""
    low, high = getattr(REACH[truth.configuration], role)
    every = [float(one) for one in np.arange(low, high + 0.1, 0.5)]
    # A bulge is seen before the needles of its day, a bruise comes of them.
    off = [
        zone
        for zone in truth.zones
        if zone.action == "keep off" and (zone.ordinal < ordinal or (zone.why, zone.ordinal) == ("bulge", ordinal))
    ]
    free = [one for one in every if not any(zone.from_cm <= one <= zone.to_cm for zone in off)]
    return free[::2] + free[1::2]


def _in_the_patch(moment: Moment, *, role: NeedleRole) -> float:
    """Always the same two centimetres, for the arterial needle and often for the venous one as well."""
    share = float(moment.course.shares("patch")[moment.index])
    if role == "arterial":
        return (8.0, 8.5, 9.0)[int(3 * share)]
    return (9.5, 10.0)[int(20 * share) % 2] if share < 0.45 else (14.5, 15.0)[int(20 * share) % 2]


def clock(at: datetime) -> str:
    """A time as it stands in documents."""
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
