"""How the three samples of a recirculation test were drawn: what makes the draw invalid or doubtful.

It looks at the circumstances only; the arithmetic, and the judgement of both together, is ``recirculation``.
"""

from datetime import datetime, timedelta

from access.measures import Refused, plausibility
from access.measures.readings import Draw, Sample
from access.measures.units import as_shown, is_above, is_below, one_unit, shown

SLOW_FLOW_ML_MIN, SLOW_FLOW_SECONDS = 120.0, 10.0  # kapoian-1997, laboratory-manual
LEAST_LINE_VOLUME_ML = 20.0  # Twice the 8-10 mL between needle tip and port: common-practice.
EARLIEST_MINUTE, LATEST_MINUTE = 20.0, 45.0  # Own choice around "about 30 min into the treatment".
LONGEST_BETWEEN_DRAWS = timedelta(minutes=3)  # Own choice around "A and V together, at once S".

VEIN = (
    "method not valid: the systemic sample came from a vein, and a vein of the other arm reads recirculation "
    "where there is none. Repeat with S from the arterial line after slow flow."
)
OTHER_SITE = (
    "method not valid: the systemic sample did not come from the arterial line after slow flow. "
    "Repeat with S drawn there."
)
LINES_REVERSED = "Are lines or needles reversed? Put them the right way and repeat the test."
DRAW_ERROR = (
    "Was the draw right: ultrafiltration off, A and V together, S at exactly 10 s of slow flow, tubes not swapped?"
)
PLACEMENT = "Where do the needles lie: too close together, or facing each other? Before any imaging."
FLOW_AND_IMAGING = "Access flow, then imaging: low inflow, outflow narrowing, a pump faster than the access flow."


def share_read_reversed(pump_ml_min: float, *, slow_flow_ml_min: float = SLOW_FLOW_ML_MIN) -> float:
    """The share (0 to 1) of the true recirculation that this draw reads with the lines reversed.

    Parameters
    ----------
    pump_ml_min, slow_flow_ml_min : float
        Usual pump speed Qb and slow pump speed, mL/min.

    Raises
    ------
    Refused
        When the slow speed is not between 0 and the usual one.

    Notes
    -----
    With reversed lines slow flow still recirculates, so S itself is diluted; the mass balance gives
    (Qb - Qslow) / Qb: 0.60 at 300 and 0.70 at 400 mL/min. Own arithmetic.

    References
    ----------
    simulation, krivitski-1995
    """
    if not 0 < slow_flow_ml_min < pump_ml_min:
        raise Refused("The slow pump speed is above 0 and below the usual one.", field="slow_flow_ml_min")
    return (pump_ml_min - slow_flow_ml_min) / pump_ml_min


def refuse_bedside(draw: Draw) -> None:
    """Refuse a draw without pump speed, times or the place of S: no result could be judged later."""
    if draw.pump_ml_min is None:
        raise Refused("The pump speed at the draw is missing.", field="pump_ml_min")
    plausibility.check("pump_ml_min", draw.pump_ml_min)
    if draw.pump_ml_min <= 0:
        raise Refused("Recirculation needs a running pump: the pump speed is above 0.", field="pump_ml_min")
    for field in ("slow_flow_ml_min", "slow_flow_seconds", "minutes_into_treatment"):
        value = getattr(draw, field)
        if value is not None:
            plausibility.check(field, value)
    if draw.systemic_site is None:
        raise Refused("Say where the systemic sample was drawn: the result rests on it.", field="systemic_site")
    _refuse_time(draw.arterial_venous_drawn_at, field="arterial_venous_drawn_at", which="arterial and venous samples")
    _refuse_time(draw.systemic_drawn_at, field="systemic_drawn_at", which="systemic sample")


def _refuse_time(at: datetime | None, *, field: str, which: str) -> None:
    if at is None:
        raise Refused(f"The time of drawing the {which} is missing.", field=field)
    if at.tzinfo is None:
        raise Refused("A time without its zone cannot be placed.", field=field)


def questions(samples: dict[str, Sample]) -> tuple[str, ...]:
    """What to ask about the values that are back; refuses mixed units and values that cannot be."""
    if samples:
        one_unit(samples.values())
    asked = (plausibility.urea(sample.value, unit=sample.unit, field=name) for name, sample in samples.items())
    return tuple(question for question in asked if question)


def why_not_valid(draw: Draw) -> str:
    """Why the method was not valid; an empty text when it was."""
    if draw.systemic_site == "peripheral vein":
        return VEIN
    return OTHER_SITE if draw.systemic_site == "other" else ""


def remarks(draw: Draw) -> tuple[str, ...]:
    """What makes a valid draw doubtful: ultrafiltration, lines, slow flow, minute and order of the draws."""
    found = (_ultrafiltration(draw), _lines(draw), _slow_flow(draw), _line_volume(draw), _minute(draw), _order(draw))
    return tuple(remark for remark in found if remark)


def _ultrafiltration(draw: Draw) -> str:
    if draw.ultrafiltration_off is None:
        return "Ultrafiltration was not stated as off."
    return "" if draw.ultrafiltration_off else "Ultrafiltration was on; the test asks for it to be off."


def _lines(draw: Draw) -> str:
    return "Which way the lines were connected is not known." if draw.lines == "not known" else ""


def _slow_flow(draw: Draw) -> str:
    if draw.systemic_site != "arterial line after slow flow":
        return ""
    if draw.slow_flow_ml_min is None or draw.slow_flow_seconds is None:
        return "Speed and time of the slow flow were not stated."
    speed, seconds = (as_shown(value, decimals=0) for value in (draw.slow_flow_ml_min, draw.slow_flow_seconds))
    if (speed, seconds) == (SLOW_FLOW_ML_MIN, SLOW_FLOW_SECONDS):
        return ""
    return f"S was drawn at {speed:.0f} mL/min for {seconds:.0f} s; this test asks for 120 mL/min and exactly 10 s."


def _line_volume(draw: Draw) -> str:
    if draw.slow_flow_ml_min is None or draw.slow_flow_seconds is None:
        return ""
    volume = draw.slow_flow_ml_min * draw.slow_flow_seconds / 60
    if not is_below(volume, LEAST_LINE_VOLUME_ML, decimals=0):
        return ""
    return f"Slow flow moved only {volume:.0f} mL; less than 20 mL may leave old blood at the port."


def _minute(draw: Draw) -> str:
    minute = draw.minutes_into_treatment
    if minute is None:
        return ""
    early = is_below(minute, EARLIEST_MINUTE, decimals=0)
    if not early and not is_above(minute, LATEST_MINUTE, decimals=0):
        return ""
    return f"Drawn {minute:.0f} min into the treatment; the test is done at about 30 min."


def _order(draw: Draw) -> str:
    first, then = draw.arterial_venous_drawn_at, draw.systemic_drawn_at
    if first is None or then is None:
        return ""
    if then < first:
        return "S is timed before A and V; in this test A and V are drawn first, S at once after them."
    if then - first > LONGEST_BETWEEN_DRAWS:
        return "S was drawn more than 3 min after A and V; the three belong together."
    return ""


def reversed_remark(draw: Draw, *, percent: float) -> tuple[str, ...]:
    """What a reading with reversed lines stands for; empty with the lines right or not known."""
    if draw.lines != "reversed":
        return ()
    text = "The lines were reversed: drawn this way the test reads only about 60-70 % of the true recirculation"
    slow = draw.slow_flow_ml_min or SLOW_FLOW_ML_MIN
    if draw.pump_ml_min is None or not 0 < slow < draw.pump_ml_min or percent <= 0:
        return (f"{text}.",)
    true = min(percent / share_read_reversed(draw.pump_ml_min, slow_flow_ml_min=slow), 100)
    return (f"{text}; {shown(percent, decimals=1)} % here stands for about {true:.0f} %.",)


def checks(percent: float, *, valid: bool, limit: float | None, placement: float) -> tuple[str, ...]:
    """What to check first, in order; nothing when no recirculation was found, or none above ``limit``."""
    if not valid:
        return ("Repeat the draw with S from the arterial line after slow flow; act on nothing before that.",)
    if not is_above(percent, 0 if limit is None else limit, decimals=1):
        return ()
    near = () if is_below(percent, placement, decimals=1) else (PLACEMENT,)
    return (LINES_REVERSED, DRAW_ERROR, *near, FLOW_AND_IMAGING)
