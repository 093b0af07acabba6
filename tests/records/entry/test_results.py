"""What follows from a measurement when it is entered: the answer, the columns, and refusals at their field.

The numbers are those of the sources named beside them, as ``access.measures`` has them in its own tests.
"""

from datetime import timedelta
from typing import Any

import pytest
from uuid_utils.compat import uuid7

from access.accounts import clinics
from access.records import entry
from access.records.entry import Saved
from access.records.models import DoseResult, FlowMeasurement, RecirculationTest, Treatment
from access.records.problems import Invalid
from tests.cast import NOW, Cast, a_save, a_treatment_document, at, save


def recirculation(cast: Cast, **changes: Any) -> Saved:
    """Three samples of Finn's fistula, drawn as they should be."""
    document = {
        "patient": str(cast.finn.pk),
        "access": str(cast.fistula.pk),
        "measured_at": at("06:45"),
        "systemic": 60.0,
        "arterial": 51.0,
        "venous": 15.0,
        "unit": "mg/dL",
        "systemic_site": "arterial line after slow flow",
        "pump_ml_min": 300.0,
        "slow_flow_ml_min": 120.0,
        "slow_flow_seconds": 10.0,
        "minutes_into_treatment": 30.0,
        "arterial_venous_drawn_at": at("06:45"),
        "systemic_drawn_at": at("06:46"),
        "ultrafiltration_off": True,
        "lines": "right",
    } | changes
    return entry.save_recirculation(uuid7(), body=a_save(document), acting=cast.acting(cast.ada))


def test_a_recirculation_answers_with_its_interval_and_what_to_check_first(cast: Cast) -> None:
    # (60, 51, 15) -> 20 %: own arithmetic on the formula of kapoian-1997.
    result = recirculation(cast).result
    assert result["percent"] == pytest.approx(20.0)
    assert result["low_percent"] < 20 < result["high_percent"]
    assert (result["valid"], result["waiting"], result["limit_percent"]) == (True, False, 10.0)
    assert 0.95 < result["probability_above_limit"] <= 1
    assert result["check_first"]
    assert "20 %" in result["text"]
    assert RecirculationTest.objects.get().result == result


def test_a_sample_from_a_vein_of_the_other_arm_makes_the_method_not_valid(cast: Cast) -> None:
    # 58, 48, 23 mg/dL, S from a vein: the false positive of sherman-1994.
    result = recirculation(cast, systemic=58, arterial=48, venous=23, systemic_site="peripheral vein").result
    assert (result["valid"], result["waiting"]) == (False, False)
    assert result["method"].startswith("method not valid")
    assert result["probability_above_limit"] is None


def test_a_test_whose_samples_are_not_back_waits_and_is_completed_without_a_reason(cast: Cast) -> None:
    waiting = recirculation(cast, systemic=None)
    assert (waiting.result["waiting"], waiting.result["percent"]) == (True, None)
    document = {**waiting.document, "systemic": 60.0}
    body = a_save(document, base=1)
    done = entry.save_recirculation(waiting.record.pk, body=body, acting=cast.acting(cast.ada))
    assert done.result["percent"] == pytest.approx(20.0)


def treated(cast: Cast, route: str) -> str:
    """The id of Finn's treatment of the day, by this route."""
    document = a_treatment_document(cast.fistula)
    document["frame"]["route"] = route
    return str(save(cast, document).record.pk)


@pytest.mark.parametrize("named", [True, False])
@pytest.mark.parametrize("route", ["one needle", "needle and catheter lumen", "catheter"])
def test_a_draw_of_a_treatment_by_another_route_says_that_no_verdict_is_given(
    cast: Cast, route: str, named: bool
) -> None:
    treatment = treated(cast, route)
    result = recirculation(cast, **({"treatment": treatment} if named else {})).result
    assert result["method"].startswith("No verdict is given") and route in result["method"]
    assert (result["probability_above_limit"], result["check_first"]) == (None, [])
    assert result["percent"] == pytest.approx(20.0)


def test_a_draw_of_a_treatment_with_two_needles_or_long_after_another_gets_its_verdict(cast: Cast) -> None:
    assert recirculation(cast, treatment=treated(cast, "two needles")).result["check_first"]
    Treatment.objects.update(route="one needle", measured_at=NOW - timedelta(days=2))
    assert recirculation(cast).result["check_first"]


def test_a_draw_from_a_vein_by_another_route_says_both(cast: Cast) -> None:
    given = recirculation(cast, treatment=treated(cast, "one needle"), systemic_site="peripheral vein").result["method"]
    assert given.startswith("method not valid") and "No verdict is given" in given


def test_the_limit_is_the_clinics_own(cast: Cast) -> None:
    clinics.set_limit(
        cast.north, limit="recirculation.above.fistula", value=15, why="our laboratory", acting=cast.acting(cast.ben)
    )
    assert recirculation(cast).result["limit_percent"] == 15


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("systemic", {"systemic": 12}),  # S below V.
        ("arterial", {"arterial": 10}),  # A below V: swapped tubes.
        ("venous", {"venous": 4000}),
        ("pump_ml_min", {"pump_ml_min": None}),
        ("systemic_site", {"systemic_site": ""}),
        ("systemic_drawn_at", {"systemic_drawn_at": None}),
        ("unit", {"unit": "mg/L"}),
    ],
)
def test_a_draw_from_which_nothing_follows_is_refused_at_its_field(
    cast: Cast, field: str, changes: dict[str, Any]
) -> None:
    with pytest.raises(Invalid) as caught:
        recirculation(cast, **changes)
    assert field in dict(caught.value.fields)
    assert not RecirculationTest.objects.exists()


def a_flow(cast: Cast, method: str, *, lines: str = "not known", **inputs: Any) -> Saved:
    """A flow of Finn's fistula by this method."""
    document = {
        "patient": str(cast.finn.pk),
        "access": str(cast.fistula.pk),
        "measured_at": at("07:00"),
        "method": method,
        "inputs": inputs,
        "lines": lines,
    }
    return entry.save_flow(uuid7(), body=a_save(document), acting=cast.acting(cast.ada))


UREA: dict[str, Any] = {"unit": "mg/dL", "systemic_lines": "right", "pump_ml_min": 300}
TIMES: dict[str, Any] = {
    "systemic_drawn_at": at("06:40"),
    "reversed_at": at("06:41"),
    "arterial_venous_drawn_at": at("06:47"),
}
# Own arithmetic on the formulas of krivitski-1995, infusion, dialysance-1999 and duplex.
FLOWS: list[tuple[str, dict[str, Any], float, bool]] = [
    ("ultrasound dilution", {"pump_ml_min": 300, "recirculation_fraction": 0.30}, 700, True),
    ("ultrasound dilution", {"ml_min": 900}, 900, True),
    ("urea, lines reversed", {**UREA, **TIMES, "systemic": 60, "arterial": 46.5, "venous": 15}, 700, True),
    (
        "infusion",
        {"pump_ml_min": 300, "ultrafiltration_ml_min": 10, "recirculation_fraction": 0.30,
         "cardiopulmonary_fraction": 0.20},
        845.8,
        False,
    ),
    ("dialysance", {"normal_ml_min": 200, "reversed_ml_min": 160}, 800, False),
    ("duplex", {"diameter_cm": 0.6, "velocity_cm_s": 50}, 848.2, True),
    ("thermodilution", {"ml_min": 650}, 650, True),
]  # fmt: skip


@pytest.mark.parametrize(("method", "inputs", "ml_min", "doubt_known"), FLOWS)
def test_a_flow_is_worked_out_by_its_method(
    cast: Cast, method: str, inputs: dict[str, Any], ml_min: float, doubt_known: bool
) -> None:
    result = a_flow(cast, method, **inputs).result
    assert result["flow_ml_min"] == pytest.approx(ml_min, abs=0.5)
    assert result["doubt_known"] == doubt_known
    row = FlowMeasurement.objects.get()
    assert (row.flow_ml_min, row.low_ml_min) == (result["flow_ml_min"], result["low_ml_min"])
    assert row.comparable == (method != "dialysance")


def test_blood_water_becomes_comparable_with_a_hematocrit(cast: Cast) -> None:
    a_flow(cast, "dialysance", normal_ml_min=200, reversed_ml_min=160, hematocrit_fraction=0.33)
    row = FlowMeasurement.objects.get()
    assert row.comparable
    assert row.flow_ml_min == pytest.approx(800 / (0.72 * 0.33 + 0.93 * 0.67))  # blood-water, from memory


def test_lines_left_reversed_are_asked_about(cast: Cast) -> None:
    saved = a_flow(cast, "ultrasound dilution", lines="reversed", ml_min=900)
    assert "lines_put_back_by" in dict(saved.asks)
    assert saved.result["remarks"]


def test_a_flow_by_urea_waits_for_the_laboratory(cast: Cast) -> None:
    result = a_flow(cast, "urea, lines reversed", **UREA, **TIMES).result
    assert result["flow_ml_min"] is None
    assert FlowMeasurement.objects.get().flow_ml_min is None


@pytest.mark.parametrize(
    ("method", "inputs", "field"),
    [
        ("ultrasound dilution", {"pump_ml_min": 300, "recirculation_fraction": 1.2}, "inputs.recirculation_fraction"),
        ("ultrasound dilution", {"pump_ml_min": 4000, "recirculation_fraction": 0.3}, "inputs.pump_ml_min"),
        ("ultrasound dilution", {}, "inputs.ml_min"),
        ("thermodilution", {"ml_min": 0}, "inputs.ml_min"),
        ("dialysance", {"normal_ml_min": 160, "reversed_ml_min": 200}, "inputs.reversed_ml_min"),
        ("duplex", {"diameter_cm": 6, "velocity_cm_s": 600}, "inputs.ml_min"),
        ("urea, lines reversed", {**UREA, **TIMES, "systemic_lines": "reversed", "systemic": 60, "arterial": 46.5,
                                  "venous": 15}, "inputs.systemic_lines"),
    ],
)  # fmt: skip
def test_a_flow_that_cannot_be_is_refused_at_its_field(
    cast: Cast, method: str, inputs: dict[str, Any], field: str
) -> None:
    with pytest.raises(Invalid) as caught:
        a_flow(cast, method, **inputs)
    assert field in dict(caught.value.fields)


def a_dose(cast: Cast, **changes: Any) -> Saved:
    """The monthly dose of Finn."""
    document = {"patient": str(cast.finn.pk), "measured_at": at("07:00"), "urea_before": 70, "urea_after": 21,
                "unit": "mg/dL", "hours": 4, "ultrafiltration_l": 3, "weight_kg": 70} | changes  # fmt: skip
    return entry.save_dose(uuid7(), body=a_save(document), acting=cast.acting(cast.ada))


def test_a_dose_answers_with_kt_v_and_urea_reduction(cast: Cast) -> None:
    # 70, 21, 4 h, 3 L, 70 kg -> 1.4432, 70 %: own arithmetic on the formula of daugirdas-1993.
    result = a_dose(cast).result
    assert result["kt_v"] == pytest.approx(1.4432, abs=5e-5)
    assert result["reduction_percent"] == pytest.approx(70)
    assert DoseResult.objects.get().kt_v == result["kt_v"]


@pytest.mark.parametrize("after", [70, 1, 4000])
def test_a_dose_that_cannot_be_is_refused_at_the_after_sample(cast: Cast, after: float) -> None:
    with pytest.raises(Invalid) as caught:
        a_dose(cast, urea_after=after)
    assert "urea_after" in dict(caught.value.fields)


@pytest.mark.parametrize("method", ["ultrasound dilution", "infusion", "dialysance", "urea, lines reversed"])
def test_a_method_that_turns_the_lines_asks_who_put_them_back_and_when(cast: Cast, method: str) -> None:
    by_two = {"normal_ml_min": 200, "reversed_ml_min": 160}
    inputs: dict[str, Any] = by_two if method == "dialysance" else {"ml_min": 900}
    saved = a_flow(cast, method, **inputs)
    assert "lines_put_back_by" in dict(saved.asks) and saved.result["remarks"]
    document = saved.document | {"lines_put_back_by": "Ada"}
    again = entry.save_flow(
        saved.record.pk, body=a_save(document, base=1, reason="forgotten"), acting=cast.acting(cast.ada)
    )
    assert [name for name, _ in again.asks] == ["lines_put_back_at"]


def test_duplex_turns_no_lines(cast: Cast) -> None:
    assert a_flow(cast, "duplex", ml_min=900).asks == ()
