"""What follows from a measurement when it is entered: the computation of ``access.measures``, as columns and answer.

It brings documents into the shape that the computation takes, and nothing more; what it refuses is said at the field.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, cast

from access.measures import Refused, dose, flow, plausibility
from access.measures.flow import Flow
from access.measures.protocol import Protocol
from access.measures.readings import Draw, Sample
from access.measures.recirculation import JudgedDraw, judge_draw, recirculation
from access.measures.units import shown
from access.measures.words import FlowMethod, UreaUnit
from access.records.problems import Document

SAMPLES = ("systemic", "arterial", "venous")


@dataclass(frozen=True, kw_only=True)
class Computed:
    """What a computation adds to a record: its columns, the answer, and what is asked about."""

    columns: dict[str, Any] = field(default_factory=dict)
    result: dict[str, Any] = field(default_factory=dict)
    question: str = ""


def _moment(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def of_recirculation(document: Document, *, protocol: Protocol, kind: str, route: str = "") -> Computed:
    """The recirculation of three samples, or that it waits, or why the method was not valid or gives no verdict."""
    limit = protocol.limits.get(f"recirculation.above.{kind}")
    limit_percent = limit.value if limit else None
    judged = judge_draw(
        _draw(document), limit_percent=limit_percent, placement_percent=protocol.number("recirculation.needles-first")
    )
    said = _said(judged, limit_percent=limit_percent)
    if route not in ("", "two needles"):
        said = _without_verdict(said, route=route)
    return Computed(columns={"result": said}, result=said)


def _draw(document: Document) -> Draw:
    return Draw(
        systemic=_sample(document, "systemic"),
        arterial=_sample(document, "arterial"),
        venous=_sample(document, "venous"),
        systemic_site=document["systemic_site"] or None,
        pump_ml_min=document["pump_ml_min"],
        slow_flow_ml_min=document["slow_flow_ml_min"],
        slow_flow_seconds=document["slow_flow_seconds"],
        minutes_into_treatment=document["minutes_into_treatment"],
        arterial_venous_drawn_at=_moment(document["arterial_venous_drawn_at"]),
        systemic_drawn_at=_moment(document["systemic_drawn_at"]),
        ultrafiltration_off=document["ultrafiltration_off"],
        lines=document["lines"],
    )


def _sample(document: Document, name: str) -> Sample | None:
    return None if document[name] is None else Sample(value=document[name], unit=cast(UreaUnit, document["unit"]))


def _said(judged: JudgedDraw, *, limit_percent: float | None) -> dict[str, Any]:
    """The answer; only a result on which a verdict may rest is called valid, or one still awaited."""
    result, usable = judged.result, judged.usable
    without = "No verdict: the samples are too uncertain." if result and judged.valid and usable is None else ""
    return {
        "valid": judged.valid and (judged.waiting or usable is not None),
        "waiting": judged.waiting,
        "percent": result.percent if result else None,
        "low_percent": result.low_percent if result else None,
        "high_percent": result.high_percent if result else None,
        "probability_above_limit": None
        if usable is None or limit_percent is None
        else usable.probability_above(limit_percent),
        "limit_percent": limit_percent,
        "text": result.text if result else judged.reason,
        "method": judged.reason if not judged.waiting or not judged.valid else without,
        "remarks": [*judged.remarks, *([without] if without else [])],
        "check_first": list(judged.checks),
    }


def _without_verdict(said: dict[str, Any], *, route: str) -> dict[str, Any]:
    """The same answer without a verdict; the draw stays as valid as it was, in case the route is corrected."""
    why = f"No verdict is given: recirculation is judged with two needles, and for this treatment it says {route}."
    method = f"{said['method']} {why}" if said["method"] and not said["valid"] else why
    return {**said, "probability_above_limit": None, "method": method, "check_first": []}


def of_dose(document: Document) -> Computed:
    """Kt/V and urea reduction of a treatment."""
    before, after = document["urea_before"], document["urea_after"]
    kt_v = dose.kt_v(
        before,
        after=after,
        hours=document["hours"],
        ultrafiltration_l=document["ultrafiltration_l"],
        weight_kg=document["weight_kg"],
    )
    plausibility.check("kt_v", kt_v)
    percent = dose.urea_reduction_percent(before, after=after)
    text = f"Kt/V {kt_v:.2f}, urea reduction {shown(percent, decimals=0)} %"
    numbers = {"kt_v": kt_v, "reduction_percent": percent}
    return Computed(columns=dict(numbers), result={**numbers, "text": text, "remarks": []})


# Methods that turn the lines round for the measurement; each ends with the lines put back the right way.
TURNS_THE_LINES: frozenset[FlowMethod] = frozenset(
    {"ultrasound dilution", "urea, lines reversed", "infusion", "dialysance"}
)


def still_reversed(document: Document) -> bool:
    """Whether the lines were turned for this flow, by its method or as stated, and nobody put them back."""
    turned = document["lines"] == "reversed" or document["method"] in TURNS_THE_LINES
    return turned and not document["lines_put_back_by"]


def of_flow(document: Document) -> Computed:
    """An access flow by its method, with its doubt; without a value when the laboratory is awaited."""
    found = _METHODS[document["method"]](document)
    remarks = []
    if still_reversed(document):
        remarks.append("The lines were reversed: say who put them back the right way, and when.")
    if found is None:
        text = "The samples are not all back from the laboratory."
        empty = dict.fromkeys(("flow_ml_min", "low_ml_min", "high_ml_min"))
        return Computed(columns=dict(empty), result={**empty, "doubt_known": False, "text": text, "remarks": remarks})
    if not found.comparable:
        remarks.append("This is the flow of blood water; with a hematocrit it can be compared.")
    numbers = {"flow_ml_min": found.ml_min, "low_ml_min": found.low_ml_min, "high_ml_min": found.high_ml_min}
    return Computed(
        columns={**numbers, "comparable": found.comparable},
        result={**numbers, "doubt_known": found.doubt_known, "text": found.text, "remarks": remarks},
        question=found.question,
    )


def _needed(document: Document, *names: str) -> list[Any]:
    """The inputs of a method, each of which must be there."""
    inputs = document["inputs"]
    for name in names:
        if inputs[name] in (None, ""):
            raise Refused("This is missing for this method.", field=name)
    return [inputs[name] for name in names]


def _as_shown(document: Document) -> Flow:
    """A flow as the device showed it."""
    (ml_min,) = _needed(document, "ml_min")
    return flow.measured(ml_min, method=cast(FlowMethod, document["method"]))


def _dilution(document: Document) -> Flow:
    if document["inputs"]["recirculation_fraction"] is None:
        return _as_shown(document)
    pump, fraction = _needed(document, "pump_ml_min", "recirculation_fraction")
    return flow.reversed_lines(pump, recirculation_fraction=fraction)


def _infusion(document: Document) -> Flow:
    if document["inputs"]["recirculation_fraction"] is None:
        return _as_shown(document)
    names = ("pump_ml_min", "ultrafiltration_ml_min", "recirculation_fraction", "cardiopulmonary_fraction")
    pump, ultrafiltration, fraction, cardiopulmonary = _needed(document, *names)
    return flow.infusion(
        pump,
        ultrafiltration_ml_min=ultrafiltration,
        recirculation_fraction=fraction,
        cardiopulmonary_fraction=cardiopulmonary,
    )


def _dialysance(document: Document) -> Flow:
    normal, reversed_ml_min = _needed(document, "normal_ml_min", "reversed_ml_min")
    water = flow.dialysance(normal, reversed_ml_min=reversed_ml_min)
    hematocrit = document["inputs"]["hematocrit_fraction"]
    if hematocrit is None:
        return water
    whole = flow.whole_blood(water.ml_min, hematocrit_fraction=hematocrit)
    return Flow(ml_min=whole, low_ml_min=None, high_ml_min=None, method="dialysance", question=flow_question(whole))


def flow_question(ml_min: float) -> str:
    """What to ask about a computed flow."""
    return plausibility.check("flow_ml_min", ml_min)


def _duplex(document: Document) -> Flow:
    if document["inputs"]["diameter_cm"] is None:
        return _as_shown(document)
    diameter, velocity = _needed(document, "diameter_cm", "velocity_cm_s")
    return flow.duplex(diameter, velocity_cm_s=velocity)


def _reversed_urea(document: Document) -> Flow | None:
    if document["inputs"]["ml_min"] is not None:
        return _as_shown(document)
    pump, unit, *times = _needed(
        document, "pump_ml_min", "unit", "systemic_drawn_at", "reversed_at", "arterial_venous_drawn_at"
    )
    samples = [document["inputs"][name] for name in SAMPLES]
    if None in samples:
        return None
    systemic, arterial, venous = samples
    first, then, last = (datetime.fromisoformat(text) for text in times)
    return flow.reversed_urea(
        pump,
        recirculation=recirculation(systemic, arterial=arterial, venous=venous),
        systemic_lines=document["inputs"]["systemic_lines"] or "not known",
        systemic_drawn_at=first,
        reversed_at=then,
        arterial_venous_drawn_at=last,
    )


_METHODS: dict[str, Callable[[Document], Flow | None]] = {
    "ultrasound dilution": _dilution,
    "urea, lines reversed": _reversed_urea,
    "infusion": _infusion,
    "dialysance": _dialysance,
    "duplex": _duplex,
    "thermodilution": _as_shown,
}
