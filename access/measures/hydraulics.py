"""Pressure drops of the pieces of which the circuit model is built, and the one equation that joins them.

Each piece drops ``linear * q + quadratic * q * |q|`` mmHg at a flow of q mL/min. It knows nothing of accesses,
treatments or readings (that is ``circuit``), and nothing pulsates: it is a model of means.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from access.measures import Refused

Values = NDArray[np.float64]

PASCAL_PER_MMHG = 133.322
M3_S_PER_ML_MIN = 1e-6 / 60
BLOOD_DENSITY_KG_M3 = 1055.0
REFERENCE_HEMATOCRIT = 0.33
# Inner diameters (mm) of thin-walled fistula needles by gauge: assumed, from memory, an input to the model.
NEEDLE_BORE_MM = {14: 1.8, 15: 1.6, 16: 1.4, 17: 1.2}
NEEDLE_LENGTH_MM = 25.0
TUBE_LENGTH_MM, TUBE_BORE_MM = 300.0, 3.5
# Fitted by ``calibration.calibrate``: calibration, not a measurement. The arterial needle has its own (own choice):
# blood enters it from the side and through the back eye.
VENOUS_LOSS, ARTERIAL_LOSS = 2.76, 3.0
# Young & Tsai: length of a narrowing as the flow feels it, and the loss behind it.
NARROWING_LENGTH_SHARE, NARROWING_LENGTH_BORES, NARROWING_LOSS = 0.83, 1.64, 1.52


@dataclass(frozen=True, kw_only=True)
class Drop:
    """A pressure drop: ``linear`` in mmHg per mL/min, ``quadratic`` in mmHg per (mL/min) squared."""

    linear: Values
    quadratic: Values

    def mmhg(self, flow_ml_min: ArrayLike) -> Values:
        """Drop at a flow, in mmHg; negative for a flow that runs backwards."""
        flow = values(flow_ml_min)
        return self.linear * flow + self.quadratic * flow * np.abs(flow)

    def slope(self, flow_ml_min: ArrayLike) -> Values:
        """Derivative of the drop by the flow, in mmHg per mL/min."""
        return self.linear + 2 * self.quadratic * np.abs(values(flow_ml_min))

    def __add__(self, other: "Drop") -> "Drop":
        return Drop(linear=self.linear + other.linear, quadratic=self.quadratic + other.quadratic)


def values(given: ArrayLike) -> Values:
    """Numbers as an array of floats; a single number becomes an array without dimension."""
    return np.asarray(given, dtype=np.float64)


def drop(linear: ArrayLike, quadratic: ArrayLike = 0.0) -> Drop:
    """A drop from plain numbers or arrays (mmHg per mL/min, and per its square)."""
    return Drop(linear=values(linear), quadratic=values(quadratic))


def viscosity_pa_s(hematocrit_fraction: ArrayLike) -> Values:
    """Viscosity of blood, in Pa s: 1.2e-3 exp(2.6 hematocrit).

    References
    ----------
    simulation
    """
    return 1.2e-3 * np.exp(2.6 * values(hematocrit_fraction))


def tube(length_mm: ArrayLike, *, bore_mm: ArrayLike, hematocrit_fraction: ArrayLike) -> Drop:
    """Laminar drop along a straight tube (Hagen-Poiseuille: 128 mu L / (pi d^4))."""
    resistance = 128 * viscosity_pa_s(hematocrit_fraction) * values(length_mm) * 1e-3
    resistance = resistance / (math.pi * (values(bore_mm) * 1e-3) ** 4)
    return drop(resistance * M3_S_PER_ML_MIN / PASCAL_PER_MMHG)


def kinetic(bore_mm: ArrayLike, *, loss: ArrayLike) -> Drop:
    """Loss of ``loss`` times the dynamic pressure rho v^2 / 2 in a bore."""
    area_m2 = math.pi * (values(bore_mm) * 1e-3) ** 2 / 4
    quadratic = values(loss) * BLOOD_DENSITY_KG_M3 / 2 / area_m2**2
    return drop(0.0, quadratic * M3_S_PER_ML_MIN**2 / PASCAL_PER_MMHG)


def needle(bore_mm: ArrayLike, *, loss: ArrayLike, hematocrit_fraction: ArrayLike = REFERENCE_HEMATOCRIT) -> Drop:
    """Drop of a fistula needle with the tube behind it.

    Parameters
    ----------
    bore_mm : array_like
        Inner diameter, mm (see ``NEEDLE_BORE_MM``).
    loss : array_like
        Loss coefficient of entrance, exit and profile together, no unit.
    hematocrit_fraction : array_like
        Hematocrit, as a fraction.

    Notes
    -----
    25 mm of needle (the length used in the study that gives the pressures by gauge) and 30 cm of 3.5 mm tube.

    References
    ----------
    needle-bore, needle-pressure-1996, simulation
    """
    laminar = tube(NEEDLE_LENGTH_MM, bore_mm=bore_mm, hematocrit_fraction=hematocrit_fraction)
    behind = tube(TUBE_LENGTH_MM, bore_mm=TUBE_BORE_MM, hematocrit_fraction=hematocrit_fraction)
    return laminar + behind + kinetic(bore_mm, loss=loss)


def bore_mm(gauge: ArrayLike) -> Values:
    """Assumed inner diameter of fistula needles, in mm; refused outside 14 to 17 gauge."""
    gauges = np.asarray(gauge)
    if not bool(np.all(np.isin(gauges, list(NEEDLE_BORE_MM)))):
        raise Refused(f"The model knows needles of 14 to 17 gauge, not {gauges}.", field="gauge")
    thinnest_last = [NEEDLE_BORE_MM[each] for each in sorted(NEEDLE_BORE_MM)]
    return values(np.asarray(thinnest_last)[gauges - min(NEEDLE_BORE_MM)])


def needle_alone_mmhg(
    pump_ml_min: ArrayLike, *, gauge: ArrayLike, hematocrit_fraction: ArrayLike = REFERENCE_HEMATOCRIT
) -> Values:
    """What a venous needle and its tube alone would read at a pump speed, in mmHg, chamber level with the needle."""
    alone = needle(bore_mm(gauge), loss=VENOUS_LOSS, hematocrit_fraction=hematocrit_fraction)
    return alone.mmhg(pump_ml_min)


def narrowing(percent: ArrayLike, *, bore_mm: ArrayLike, length_mm: ArrayLike, hematocrit_fraction: ArrayLike) -> Drop:
    """What a narrowing drops more than the open vessel it sits in.

    Parameters
    ----------
    percent : array_like
        Narrowing of the diameter, 0 to 99 %.
    bore_mm, length_mm : array_like
        Diameter of the open vessel and length of the narrowing, mm.
    hematocrit_fraction : array_like
        Hematocrit, as a fraction.

    Notes
    -----
    Young and Tsai: laminar along .83 of the length and 1.64 throat diameters, less the same length of open vessel;
    behind it 1.52 rho / 2 (1/A1 - 1/A0)^2. For a mean flow; the inertial term is left out.

    References
    ----------
    young-tsai-1973
    """
    open_bore, narrowed = values(bore_mm), values(percent)
    if not bool(np.all((narrowed >= 0) & (narrowed <= 99))):
        raise Refused("A narrowing is 0 to 99 % of the diameter; a closed vessel has no flow to work out.")
    throat = open_bore * (1 - narrowed / 100)
    felt = NARROWING_LENGTH_SHARE * values(length_mm) + NARROWING_LENGTH_BORES * throat
    narrow = tube(felt, bore_mm=throat, hematocrit_fraction=hematocrit_fraction)
    unnarrowed = tube(felt, bore_mm=open_bore, hematocrit_fraction=hematocrit_fraction)
    # 1/A1 - 1/A0, written as a share of 1/A0 so that the loss of a bore can be used.
    share = (open_bore / throat) ** 2 - 1
    behind = kinetic(open_bore, loss=NARROWING_LOSS * share**2)
    return Drop(linear=narrow.linear - unnarrowed.linear, quadratic=behind.quadratic)


def balance_ml_min(pressure_mmhg: ArrayLike, *, pieces: Sequence[tuple[Drop, ArrayLike]]) -> Values:
    """Flow (mL/min) at which pieces in a row drop just this pressure.

    Parameters
    ----------
    pressure_mmhg : array_like
        Pressure over the whole row, mmHg; not negative.
    pieces : sequence of (Drop, array_like)
        Each piece, and the flow (mL/min) that it carries beyond the common one (negative: it carries less).

    Notes
    -----
    The sum rises with the flow without end, so there is one root. Newton's steps, halved into the bracket whenever
    one would leave it.
    """
    whole = values(pressure_mmhg)
    beyond = [values(more) for _, more in pieces]
    most = np.max(np.abs(np.broadcast_arrays(*beyond, whole)[:-1]), axis=0)
    steepness = np.sum(np.broadcast_arrays(*(piece.linear for piece, _ in pieces)), axis=0)
    low, high = -most, most + whole / steepness
    flow = high
    for _ in range(100):
        over, slope = -whole, values(0.0)
        for (piece, _), more in zip(pieces, beyond, strict=True):
            over, slope = over + piece.mmhg(flow + more), slope + piece.slope(flow + more)
        high, low = np.where(over > 0, flow, high), np.where(over > 0, low, flow)
        step = flow - over / slope
        following = values(np.where((step >= low) & (step <= high), step, (low + high) / 2))
        if float(np.max(np.abs(following - flow), initial=0.0)) < 1e-9:
            return following
        flow = following
    raise Refused("The flow did not settle: the pressures or resistances are outside any access.")
