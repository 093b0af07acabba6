"""What a needle and its tubing alone would read at a pump speed: from the clinic's bench table or from the model.

The two are never mixed, since a change from one to the other would pass for a change of the access. No published
regression is shipped. What is left of a pressure without it is worked out in ``derived``.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from access.measures import Refused
from access.measures.hydraulics import ARTERIAL_LOSS, REFERENCE_HEMATOCRIT, VENOUS_LOSS, bore_mm, needle
from access.measures.pressure import NeedleAloneFrom
from access.measures.readings import AccessProfile, BenchPoint, DynamicReading
from access.measures.units import is_above, is_below
from access.measures.words import NeedleRole


@dataclass(frozen=True, kw_only=True)
class BenchTable:
    """What the clinic read of needle and tubing alone; ``needle_and_line`` chooses where a gauge has several."""

    points: tuple[BenchPoint, ...]
    needle_and_line: str = ""

    def mmhg(self, pump_ml_min: float, *, gauge: int, role: NeedleRole = "venous") -> float:
        """Pressure of needle and tubing alone, in mmHg, between the speeds of the table.

        Raises
        ------
        Refused
            Outside the speeds of the table, at a gauge it does not hold, or where its readings contradict each other.

        Notes
        -----
        Pressure divided by speed is interpolated, which is exact for a drop a Q + b Q^2. Readings of one speed are
        averaged.

        References
        ----------
        own-choice
        """
        curve = self._curve(gauge=gauge, role=role)
        slowest, fastest = min(curve), max(curve)
        if is_below(pump_ml_min, slowest, decimals=0) or is_above(pump_ml_min, fastest, decimals=0):
            raise Refused(
                f"The bench table holds {gauge}G on the {role} side from {slowest:.0f} to {fastest:.0f} mL/min, "
                f"not at {pump_ml_min:.0f}.",
                field="pump_ml_min",
            )
        per_speed = [curve[speed] / speed for speed in sorted(curve)]
        return pump_ml_min * float(np.interp(pump_ml_min, sorted(curve), per_speed))

    def _curve(self, *, gauge: int, role: NeedleRole) -> dict[float, float]:
        """The mean pressure at each speed of one gauge and side."""
        mine = [one for one in self.points if one.gauge == gauge and (one.pressure_mmhg < 0) == (role == "arterial")]
        lines = sorted({one.needle_and_line for one in mine})
        if len(lines) > 1 and not self.needle_and_line:
            raise Refused(
                f"The bench table holds {gauge}G with {' and '.join(lines)}: say which is used.",
                field="needle_and_line",
            )
        if self.needle_and_line:
            mine = [one for one in mine if one.needle_and_line == self.needle_and_line]
        speeds = sorted({one.pump_ml_min for one in mine})
        if not speeds or speeds[0] <= 0:
            raise Refused(f"The bench table holds no {gauge}G on the {role} side.", field="gauge")
        curve = {at: float(np.mean([one.pressure_mmhg for one in mine if one.pump_ml_min == at])) for at in speeds}
        sizes = [abs(curve[at]) for at in speeds]
        if any(later <= earlier for earlier, later in zip(sizes, sizes[1:], strict=False)):
            raise Refused(
                f"In the bench table the pressure of {gauge}G on the {role} side does not rise with the pump speed: "
                "look at its readings.",
                field="pressure_mmhg",
            )
        return curve


def own_table(profile: AccessProfile) -> BenchTable | None:
    """The bench table of the clinic that treats the patient, where it has one."""
    return BenchTable(points=profile.bench) if profile.bench else None


@dataclass(frozen=True, kw_only=True)
class NeedleAlone:
    """What the chamber would show of needle and tubing alone (mmHg, below zero before the pump), and by what."""

    mmhg: float
    source: NeedleAloneFrom
    words: str


def needle_alone(
    reading: DynamicReading, *, role: NeedleRole = "venous", bench: BenchTable | None = None
) -> NeedleAlone:
    """Pressure of needle and tubing alone, in mmHg, at the pump speed, gauge and hematocrit of a reading.

    Parameters
    ----------
    reading : DynamicReading
        Its gauge is taken as that of the needle on this side.
    role : NeedleRole
        Arterial: the pressure before the pump, below zero.
    bench : BenchTable, optional
        The clinic's own readings, taken as they are; without them the hydraulic model, which knows the hematocrit.

    Raises
    ------
    Refused
        Without a gauge, and where the table does not hold it. The model never fills a gap of the table: the two
        differ, and a change from one to the other would pass for a change of the access.

    References
    ----------
    simulation, needle-bore
    """
    gauge, pump = reading.gauge, reading.pump_ml_min
    if gauge is None:
        raise Refused(f"The gauge of the {role} needle is not recorded.", field="gauge")
    if bench is not None:
        alone = bench.mmhg(pump, gauge=gauge, role=role)
        words = f"{gauge}G at {pump:.0f} mL/min reads {alone:.0f} mmHg alone, by the clinic's bench table"
        return NeedleAlone(mmhg=alone, source="bench table", words=words)
    known = reading.hematocrit_fraction
    linear, quadratic = law(gauge, role, REFERENCE_HEMATOCRIT if known is None else known)
    alone = (linear + quadratic * pump) * pump * (-1 if role == "arterial" else 1)
    assumed = f"hematocrit {REFERENCE_HEMATOCRIT:.2f} assumed" if known is None else f"hematocrit {known:.2f}"
    words = f"{gauge}G at {pump:.0f} mL/min reads {alone:.0f} mmHg alone, by the hydraulic model, {assumed}"
    return NeedleAlone(mmhg=alone, source="hydraulic model", words=words)


@cache
def law(gauge: int, role: NeedleRole, hematocrit_fraction: float) -> tuple[float, float]:
    """Linear and quadratic term (mmHg, mL/min) of the model's needle, kept since thousands of readings share a few."""
    loss = ARTERIAL_LOSS if role == "arterial" else VENOUS_LOSS
    found = needle(bore_mm(gauge), loss=loss, hematocrit_fraction=hematocrit_fraction)
    return float(found.linear), float(found.quadratic)


def with_arterial_gauge(profile: AccessProfile) -> tuple[DynamicReading, ...]:
    """The readings with the gauge of the arterial needle in place of the venous one.

    The venous one stands in only where no puncture of the treatment is recorded.
    """
    gauges: dict[str, int | None] = {one.treatment: None for one in profile.punctures}
    gauges |= {
        one.treatment: one.gauge for one in profile.punctures if one.role == "arterial" and one.outcome != "failed"
    }
    return tuple(
        [
            one if gauges.get(one.treatment, one.gauge) == one.gauge else replace(one, gauge=gauges[one.treatment])
            for one in profile.dynamics
        ]
    )
