"""What a number may be: one table of bounds for every number that a record takes.

What cannot be is refused in plain words; what is merely unlikely is asked about and then accepted.
It judges single numbers, never their meaning: limits that lead to a finding are protocol data.
Except where a line says otherwise the bounds are the project's own choice (source: own-choice).
"""

from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta

from access.measures import Refused
from access.measures.units import as_shown, shown
from access.measures.words import UreaUnit


@dataclass(frozen=True)
class Bounds:
    """Below or above what one number is refused, and below or above what it is asked about."""

    label: str
    unit: str
    refuse_below: float
    ask_below: float
    ask_above: float
    refuse_above: float
    decimals: int = 0
    hint: str = ""


_FLOW_HINT = "Type it in mL/min: 1.2 L/min is 1200. No flow at all is an event (clotted), not a flow."

BOUNDS: dict[str, Bounds] = {
    # Pump and lines. A pump at 0 is a static reading and slow speeds belong to draws: neither is asked about.
    "pump_ml_min": Bounds("pump speed", "mL/min", 0, 0, 500, 800),
    "pump_prescribed_ml_min": Bounds("prescribed pump speed", "mL/min", 30, 150, 500, 800),
    "pump_reached_ml_min": Bounds("reached pump speed", "mL/min", 0, 100, 500, 800),
    "slow_flow_ml_min": Bounds("slow pump speed", "mL/min", 20, 50, 150, 200),
    "slow_flow_seconds": Bounds("time at slow pump speed", "s", 1, 5, 30, 300),
    "dialysate_flow_ml_min": Bounds("dialysate flow", "mL/min", 50, 300, 800, 1500),
    "ultrafiltration_ml_min": Bounds("ultrafiltration rate", "mL/min", 0, 0, 30, 80, 1),
    "ultrafiltration_l": Bounds("ultrafiltration", "L", 0, 0, 5, 12, 2),
    # Pressures. Not below -250 mmHg before the pump: source pre-pump-pressure.
    "pre_pump_arterial_mmhg": Bounds(
        "pre-pump arterial pressure",
        "mmHg",
        -500,
        -250,
        20,
        100,
        hint="Normally below zero; lower than -250 mmHg the pump delivers less than it shows.",
    ),
    "venous_mmhg": Bounds("venous pressure", "mmHg", -100, 0, 300, 600),
    "post_pump_mmhg": Bounds("post-pump pressure", "mmHg", -100, 0, 350, 600),
    "bench_mmhg": Bounds("bench pressure", "mmHg", -500, -300, 400, 600),
    "static_mmhg": Bounds("static pressure", "mmHg", -50, 0, 150, 300),
    "systolic_mmhg": Bounds("systolic blood pressure", "mmHg", 40, 80, 220, 300),
    "diastolic_mmhg": Bounds("diastolic blood pressure", "mmHg", 20, 40, 120, 200),
    "mean_arterial_mmhg": Bounds("mean arterial pressure", "mmHg", 20, 60, 130, 250),
    # The pressures between which a ratio may be computed; frinak-2002 too asks for more than 75 mmHg.
    "mean_arterial_for_ratio_mmhg": Bounds(
        "mean arterial pressure", "mmHg", 75, 75, 160, 160, hint="Outside these bounds a static ratio says nothing."
    ),
    "height_cm": Bounds(
        "height of the chamber above the access", "cm", 0, 0, 80, 150, hint="The chamber hangs above the access."
    ),
    # Needles.
    "along_cm": Bounds("position along the vessel", "cm", 0, 0, 45, 100, 1),
    "across_cm": Bounds("position across the vessel", "cm", -10, -3, 3, 10, 1),
    "gauge": Bounds("needle gauge", "G", 14, 14, 17, 17),
    "angle_degrees": Bounds("needle angle", "degrees", 5, 15, 50, 90),
    "bleeding_minutes": Bounds("time to stop bleeding", "min", 0, 0, 45, 300),
    "extent_cm": Bounds("extent of the swelling", "cm", 0, 0, 15, 60, 1),
    "pain": Bounds("pain", "of 10", 0, 0, 10, 10),
    # Access.
    "needled_length_cm": Bounds("needled length", "cm", 0.5, 3, 45, 100, 1),
    "diameter_cm": Bounds("diameter", "cm", 0.1, 0.2, 2, 6, 2, "Type it in cm: 6 mm is 0.6 cm."),
    "depth_cm": Bounds("depth", "cm", 0, 0.05, 1.5, 6, 2, "Type it in cm: 6 mm is 0.6 cm."),
    "velocity_cm_s": Bounds("mean velocity", "cm/s", 1, 5, 200, 600, 1, "Type it in cm/s: 0.5 m/s is 50 cm/s."),
    "flow_ml_min": Bounds("access flow", "mL/min", 1, 100, 3000, 10000, 0, _FLOW_HINT),
    "dialysance_ml_min": Bounds("dialysance", "mL/min", 10, 50, 350, 800),
    "cardiac_output_l_min": Bounds("cardiac output", "L/min", 1, 2.5, 12, 25, 1),
    "degree_percent": Bounds("degree of narrowing", "%", 0, 0, 100, 100),
    "recirculation_percent": Bounds("recirculation", "%", 0, 0, 50, 100, 1),
    "weeks_to_first_use": Bounds("weeks to first use", "weeks", 0, 2, 26, 200),
    # Laboratory and dose. Urea bounds are the same in both units (0.357: source urea-factor).
    "urea_mg_dl": Bounds("urea nitrogen", "mg/dL", 1, 4, 150, 400, 1),
    "urea_mmol_l": Bounds("urea", "mmol/L", 0.4, 1.4, 53.6, 142.8, 1),
    "hematocrit_fraction": Bounds("hematocrit", "", 0.1, 0.2, 0.5, 0.75, 2, "Type it as a fraction: 33 % is 0.33."),
    "assay_cv": Bounds("assay variation", "", 0.001, 0.01, 0.05, 0.25, 3, "Type it as a fraction: 2 % is 0.02."),
    "cardiopulmonary_fraction": Bounds(
        "cardiopulmonary recirculation", "", 0, 0, 0.4, 0.95, 2, "Type it as a fraction: 20 % is 0.20."
    ),
    "kt_v": Bounds("Kt/V", "", 0.1, 0.8, 2.5, 5, 2),
    "hours": Bounds("time on dialysis", "h", 0.1, 2, 6, 24, 2),
    "weight_kg": Bounds("weight", "kg", 5, 30, 180, 400, 1),
    # Time within a treatment.
    "minute": Bounds("minute of the treatment", "min", 0, 0, 360, 1440),
    "minutes_into_treatment": Bounds("minutes into the treatment", "min", 0, 0, 360, 1440),
}

# A tablet's clock, corrected by its known offset, may still run ahead by this much (own choice).
CLOCK_TOLERANCE = timedelta(minutes=5)


def check(name: str, value: float) -> str:
    """What to ask about a number of a record; an empty text when nothing is to be asked.

    Parameters
    ----------
    name : str
        A key of ``BOUNDS``, the name of the field.
    value : float
        The number as typed, in the unit of its bounds.

    Returns
    -------
    str
        A question in plain words, or an empty text.

    Raises
    ------
    Refused
        When the number cannot be; the text says so in words a nurse can act on, ``field`` is ``name``.

    References
    ----------
    own-choice, pre-pump-pressure
    """
    if name not in BOUNDS:
        raise Refused(f"There are no bounds for “{name}”.", field=name)
    bounds = BOUNDS[name]
    try:
        number = as_shown(value, decimals=bounds.decimals)
    except Refused:
        raise Refused(f"The {bounds.label} is not a number. Type it again.", field=name) from None
    if number < bounds.refuse_below or number > bounds.refuse_above:
        raise Refused(_refusal(bounds, value), field=name)
    if number < bounds.ask_below or number > bounds.ask_above:
        return _question(bounds, value)
    return ""


def urea(value: float, *, unit: UreaUnit, field: str) -> str:
    """What to ask about a urea value in its own unit; refuses for ``field`` what cannot be."""
    try:
        return check("urea_mg_dl" if unit == "mg/dL" else "urea_mmol_l", value)
    except Refused as refused:
        raise Refused(str(refused), field=field) from None


def blood_pressure(systolic: float, *, diastolic: float) -> str:
    """What to ask about a blood pressure (mmHg); refuses each part that cannot be, and one upside down."""
    questions = (check("systolic_mmhg", systolic), check("diastolic_mmhg", diastolic))
    if as_shown(systolic, decimals=0) <= as_shown(diastolic, decimals=0):
        raise Refused(
            f"A blood pressure of {shown(systolic, decimals=0)} over {shown(diastolic, decimals=0)} mmHg is upside "
            "down: the upper value is the higher one. Type both again.",
            field="systolic_mmhg",
        )
    return " ".join(question for question in questions if question)


def future(at: date | datetime, *, now: datetime, field: str = "measured_at") -> None:
    """Refuse a bedside time or a day that lies in the future of ``now``.

    Parameters
    ----------
    at : date or datetime
        A day in the clinic's zone, or an aware time.
    now : datetime
        Aware; in the clinic's zone when ``at`` is a day.
    field : str
        The field that the refusal names.
    """
    if isinstance(at, datetime):
        if at.tzinfo is None or now.tzinfo is None:
            raise Refused("A time without its zone cannot be placed.", field=field)
        late = at > now + CLOCK_TOLERANCE
        text = f"{at.astimezone(now.tzinfo):%Y-%m-%d %H:%M}"
    else:
        late = at > now.date()
        text = at.isoformat()
    if late:
        raise Refused(f"{text} lies in the future. Look at the date and the time and type them again.", field=field)


def as_table() -> dict[str, dict[str, str | float]]:
    """The bounds as plain data for the schema and the page."""
    return {name: asdict(bounds) for name, bounds in BOUNDS.items()}


def _said(value: float, bounds: Bounds) -> str:
    # The number is repeated as it was typed, so that a slip of the finger is seen.
    return f"{shown(value, decimals=max(bounds.decimals, 2))} {bounds.unit}".strip()


def _opening(value: float, bounds: Bounds) -> str:
    article = "An" if bounds.label[0] in "aeiou" else "A"
    return f"{article} {bounds.label} of {_said(value, bounds)}"


def _range(low: float, high: float, bounds: Bounds) -> str:
    low_text, high_text = (shown(end, decimals=bounds.decimals) for end in (low, high))
    return f"{low_text} to {high_text} {bounds.unit}".strip()


def _refusal(bounds: Bounds, value: float) -> str:
    accepted = _range(bounds.refuse_below, bounds.refuse_above, bounds)
    hint = bounds.hint or "Look at the number again and type it again."
    return f"{_opening(value, bounds)} cannot be; accepted is {accepted}. {hint}"


def _question(bounds: Bounds, value: float) -> str:
    usual = _range(bounds.ask_below, bounds.ask_above, bounds)
    return f"{_opening(value, bounds)} is unusual (usually {usual}). Is it right? {bounds.hint}".strip()
