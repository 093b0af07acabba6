"""The newest step test of an access in words: the pressure at the venous site, its doubt, and the static ratio of it.

Readings at three or four low pump speeds make one, wherever in a treatment they were written down. It raises nothing.
"""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from access.measures import Refused, step_test
from access.measures.readings import AccessProfile, DynamicReading
from access.measures.rules.say import day
from access.measures.units import shown
from access.records.history.worked import IN_SIMULATION, worked

TREATMENTS = 40  # A test further back than about three months says little of the present.


def stepped(profile: AccessProfile) -> list[dict[str, Any]]:
    """One item about the newest step test of the last treatments; none where no test was made."""
    runs: dict[str, list[DynamicReading]] = defaultdict(list)
    for one in profile.dynamics:
        runs[one.treatment].append(one)
    for readings in reversed(list(runs.values())[-TREATMENTS:]):
        steps = step_test.found(readings)
        if steps:
            return [_item(steps)]
    return []


def _item(steps: Sequence[DynamicReading]) -> dict[str, Any]:
    sentence, lines = _said(steps)
    return {
        "id": "step-test",
        "title": f"Step test of {day(steps[-1].at)}",
        "sentence": sentence,
        "lines": lines,
        "table": {
            "columns": ["Pump, mL/min", "Venous, mmHg"],
            "rows": [[f"{one.pump_ml_min:.0f}", f"{one.venous_mmhg:.0f}"] for one in steps],
        },
        "worked": worked(
            ["pressure.step-test"],
            inputs=[("Needle", f"{steps[-1].gauge}G"), ("Readings", f"{len(steps)}")],
            doubt=IN_SIMULATION,
        ),
    }


def _said(steps: Sequence[DynamicReading]) -> tuple[str, list[str]]:
    try:
        test = step_test.measured(steps)
    except Refused as refused:
        return f"No pressure follows from it: {refused}", []
    if test is None:
        raise LookupError("These readings were found to be a step test.")
    pressure, error = (shown(one, decimals=0) for one in (test.intercept_mmhg, test.standard_error_mmhg))
    residual = shown(test.residual_mmhg, decimals=1)
    sentence = f"Pressure at the venous site {pressure} mmHg, standard error {error}, as the chamber shows it."
    return sentence, [_ratio(steps, test=test), f"The readings lie {residual} mmHg about the curve.", *test.notes]


def _ratio(steps: Sequence[DynamicReading], *, test: step_test.StepTest) -> str:
    """The static ratio that it stands for, or what is missing for one."""
    height = next((one for one in steps if one.venous_height_cm is not None and one.height_formula), None)
    mean = next((one.mean_arterial_mmhg for one in steps if one.mean_arterial_mmhg is not None), None)
    if height is None or height.venous_height_cm is None or height.height_formula is None or mean is None:
        return "No ratio: it needs the height of the chamber, its formula and a blood pressure of the same time."
    try:
        found = step_test.ratio(
            test,
            height_cm=height.venous_height_cm,
            mean_arterial_mmhg=mean,
            formula=height.height_formula,
        )
    except Refused as refused:
        return f"No ratio: {refused}"
    ratio, low, high = (shown(one, decimals=2) for one in (found.ratio, found.low, found.high))
    return f"Static ratio {ratio} (90 % interval {low} to {high}), {found.formula} height."
