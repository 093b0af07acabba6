"""The rule of the pump speed: the target not reached, by the numbers of the treatment.

KDOQI 2019 lists it as an indicator; what the nurse says of it is ``sign.target-speed``, which this never silences.
"""

import math

from access.measures.findings import Finding
from access.measures.readings import TreatmentReading
from access.measures.rules.case import Case, tail
from access.measures.rules.measurement import Weight, finding
from access.measures.rules.say import day
from access.measures.succession import Observation, in_succession

RULE = "pump.target-not-reached"


def target(case: Case) -> Finding | None:
    """pump.target-not-reached: the pump short of its prescribed speed at two treatments in succession."""
    held = case.protocol.limits["pump.short-percent"]

    def observe(one: TreatmentReading) -> Observation:
        prescribed, reached = one.pump_prescribed_ml_min or math.nan, one.pump_reached_ml_min or 0.0
        said = f"{reached:.0f} mL/min reached of {prescribed:.0f} prescribed"
        odd = held.passed(100 * (1 - reached / prescribed))
        return Observation(id=one.id, at=one.at, odd=odd, text=f"{day(one.at)}: {said}")

    run = in_succession(tail(_with_speeds(case), observe=observe), gap_days=case.protocol.gap_days("pump"))
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


def _with_speeds(case: Case) -> list[TreatmentReading]:
    """The treatments of the vessel as it is now that were prescribed a pump speed and say which was reached."""
    return [
        one
        for one in case.profile.treatments
        if one.pump_prescribed_ml_min
        and one.pump_reached_ml_min is not None
        and one.route == "two needles"
        and (case.changed_on is None or one.at.date() > case.changed_on)
    ]
