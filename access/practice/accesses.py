"""What can be true of an access: its kind and size, its narrowings over time, what was done to it, what shows at it.

It holds the shapes; the accesses themselves stand in ``stories``. Days count from the story day, on which the demo was
first made: -30 is thirty days before.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from access.measures.words import (
    AccessStatus,
    Configuration,
    EventWhat,
    Kind,
    Lines,
    Route,
    Side,
    Technique,
    ZoneAction,
    ZoneWhy,
)
from access.practice.chance import Values

Step = TypeVar("Step")
# Narrowing in % of the diameter at these days, straight between them and level outside.
Knots = tuple[tuple[int, float], ...]
FIRST_DAY = -548  # Eighteen months before the story day.


@dataclass(frozen=True, kw_only=True)
class Seen:
    """A finding other than the normal one, from one treatment to another: -1 is the last before the story day."""

    field: str
    word: str
    first: int
    last: int | None = None  # None: for good.

    def at(self, ordinal: int) -> bool:
        """Whether it shows at this treatment."""
        return self.first <= ordinal and (self.last is None or ordinal <= self.last)


@dataclass(frozen=True, kw_only=True)
class Happening:
    """Something done to the access on a day, or at a treatment where ``ordinal`` says which."""

    what: EventWhat
    day: int = 0
    ordinal: int | None = None
    where_cm: float | None = None
    where_words: str = ""
    degree_percent: float | None = None
    outcome: str = ""


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """A zone of the vessel from a treatment on."""

    from_cm: float
    to_cm: float
    why: ZoneWhy
    action: ZoneAction
    ordinal: int
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Truth:
    """One access as it really is."""

    kind: Kind
    configuration: Configuration
    side: Side = "left"
    # Flow over that of the model's healthy access of this kind.
    size: float = 0.9
    inflow: Knots = ((0, 0.0),)
    middle: Knots = ((0, 0.0),)
    outflow: Knots = ((0, 0.0),)
    gauge: int = 15
    pump_ml_min: float = 350
    technique: Technique = "rope-ladder"
    has_static: bool = True
    created: int = -900
    first_needled: int | None = -840
    status: AccessStatus = "in use"
    diameter_cm: float = 0.7
    depth_cm: float = 0.4
    note: str = ""
    joined: int = FIRST_DAY + 1  # The staff are there from the first day on, the patients from the next.
    # The route from this treatment on.
    routes: tuple[tuple[int, Route], ...] = ()
    seen: tuple[Seen, ...] = ()
    happened: tuple[Happening, ...] = ()
    zones: tuple[Stretch, ...] = ()
    # From this treatment on: the speed that the pump reaches, and minutes of bleeding beyond the usual.
    pump_reached: tuple[tuple[int, float], ...] = ()
    bleeding_more: tuple[tuple[int, float], ...] = ()
    tests: tuple[tuple[int, Lines], ...] = ()  # Recirculation tests beside the regular ones, by treatment.
    waits_for_samples_at: int | None = None  # A test at this treatment whose samples are still at the laboratory.
    infiltrated_at: int | None = None
    hold: str = ""
    moved_on: int | None = None  # Before this day the patient was at home in the second clinic.
    real_narrowing: str = ""  # "inflow", "within" or "outlet", where one is the point of the story.

    def narrowing(self, place: str, days: Values) -> Values:
        """Narrowing (% of the diameter) at a place on these days."""
        knots: Knots = getattr(self, place)
        return np.interp(days, [day for day, _ in knots], [percent for _, percent in knots])


@dataclass(frozen=True, kw_only=True)
class Reach:
    """Where the vessel of a configuration is needled, in cm from the arterial anastomosis."""

    needled: tuple[float, float]
    arterial: tuple[float, float]
    venous: tuple[float, float]


REACH: dict[Configuration, Reach] = {
    "radiocephalic": Reach(needled=(4, 20), arterial=(5, 9.5), venous=(14.5, 19)),
    "brachiocephalic": Reach(needled=(4, 18), arterial=(5, 8.5), venous=(13.5, 17)),
    "transposed brachiobasilic": Reach(needled=(4, 18), arterial=(5, 8.5), venous=(13.5, 17)),
    "forearm loop graft": Reach(needled=(4, 36), arterial=(5, 14), venous=(25, 34)),
    "forearm straight graft": Reach(needled=(4, 20), arterial=(5, 9.5), venous=(14.5, 19)),
    "upper-arm straight graft": Reach(needled=(4, 20), arterial=(5, 9.5), venous=(14.5, 19)),
    "upper-arm loop graft": Reach(needled=(4, 30), arterial=(5, 12), venous=(19, 28)),
}


def value_at(steps: Sequence[tuple[int, Step]], *, ordinal: int, otherwise: Step) -> Step:
    """What holds at a treatment, of values that each hold from one treatment on."""
    return next((value for first, value in reversed(steps) if first <= ordinal), otherwise)
