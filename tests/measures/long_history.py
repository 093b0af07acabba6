"""A healthy access over many months, with everything measured as often as it is planned, by a fixed seed."""

from dataclasses import replace
from random import Random

from access.measures.readings import AccessProfile, FlowReading
from access.measures.words import FINDINGS, NeedleRole, normal
from tests.measures.histories import (
    a_dynamic,
    a_flow,
    a_puncture,
    a_ratio,
    a_recirculation,
    a_treatment,
    an_access,
    an_examination,
    doses,
)

EVERY = 7 / 3  # Days from one treatment to the next.
ROLES: tuple[NeedleRole, ...] = ("arterial", "venous")
SOUND = {field: normal(field) for field in FINDINGS}


def _weighed(flow: FlowReading) -> FlowReading:
    """The flow with its 90 % interval, without which no trend can weigh it."""
    return replace(flow, low_ml_min=0.792 * flow.ml_min, high_ml_min=flow.ml_min / 0.792)


def a_long_history(treatments: int = 234, *, seed: int = 1) -> AccessProfile:
    """So many treatments, 234 being 18 months: four pressures each, flow and dose monthly, ratios every two weeks."""
    random = Random(seed)  # noqa: S311 - Nothing secret is drawn.
    days = [EVERY * count for count in range(treatments)]
    ran = [
        replace(a_treatment(day), pump_prescribed_ml_min=400, pump_reached_ml_min=random.choice([400, 395, 390]))
        for day in days
    ]
    pressures = [
        replace(
            a_dynamic(
                day,
                venous=random.gauss(105 if pump == 200 else 160, 6),
                pre_pump=random.gauss(-90 if pump == 200 else -160, 12),
                pump=pump,
                minute=minute,
            ),
            mean_arterial_mmhg=93.0,
            hematocrit_fraction=0.33,
        )
        for day in days
        for pump, minute in ((200, 3), (400, 30), (400, 120), (400, 200))
    ]
    return replace(
        an_access(),
        treatments=tuple(ran),
        examinations=tuple(an_examination(day, **SOUND) for day in days),
        punctures=tuple(
            a_puncture(day, role=role, minutes=random.uniform(7, 9), cm=random.randrange(8, 28) / 2)
            for day in days
            for role in ROLES
        ),
        flows=tuple(_weighed(a_flow(day, random.gauss(1000, 70))) for day in days[::13]),
        ratios=tuple(
            a_ratio(day, random.gauss(0.36, 0.02) - 0.1 * (role == "venous"), role=role)
            for day in days[::6]
            for role in ROLES
        ),
        dynamics=tuple(pressures),
        recirculations=tuple(a_recirculation(day, random.gauss(2, 2)) for day in days[::60]),
        doses=doses(*((day, random.gauss(1.5, 0.04)) for day in days[::13])).doses,
    )
