"""The rule of the pump speed: the target not reached, by the numbers of the treatment.

KDOQI 2019 lists it as an indicator; what the nurse says of it is ``sign.target-speed``, which this never silences.
"""

from dataclasses import dataclass
from datetime import datetime

from access.measures.findings import Finding
from access.measures.rules.case import Case, tail
from access.measures.rules.measurement import Weight, finding
from access.measures.rules.say import day
from access.measures.succession import Observation, in_succession

RULE = "pump.target-not-reached"


@dataclass(frozen=True, kw_only=True)
class Speed:
    """The pump speed of one treatment, prescribed and reached, mL/min."""

    id: str
    at: datetime
    prescribed_ml_min: float
    reached_ml_min: float


def target(case: Case) -> Finding | None:
    """pump.target-not-reached: the pump short of its prescribed speed at two treatments in succession."""
    held = case.protocol.limits["pump.short-percent"]

    def observe(one: Speed) -> Observation:
        short = 100 * (1 - one.reached_ml_min / one.prescribed_ml_min)
        said = f"{one.reached_ml_min:.0f} mL/min reached of {one.prescribed_ml_min:.0f} prescribed"
        return Observation(id=one.id, at=one.at, odd=held.passed(short), text=f"{day(one.at)}: {said}")

    run = in_succession(tail(_speeds(case), observe=observe), gap_days=case.protocol.gap_days("pump"))
    if not run:
        return None
    return finding(
        case,
        rule=RULE,
        limits=[held],
        run=run,
        needed=case.needed("pump"),
        sentence=f"Pump more than {held.written()} short of the prescribed speed",
        weight=Weight(speaks=case.speaking("pump-speed") == RULE, first_asks=False),
        ask="Look at the pre-pump pressure, at needle and gauge.",
    )


def _speeds(case: Case) -> tuple[Speed, ...]:
    return tuple(
        Speed(
            id=one.id, at=one.at, prescribed_ml_min=one.pump_prescribed_ml_min, reached_ml_min=one.pump_reached_ml_min
        )
        for one in case.profile.treatments
        if one.pump_prescribed_ml_min
        and one.pump_reached_ml_min is not None
        and one.route == "two needles"
        and (case.changed_on is None or one.at.date() > case.changed_on)
    )
