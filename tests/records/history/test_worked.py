"""How a chart is worked out, as the handbook of the computation says it."""

import pytest

from access.measures.handbook import bullets
from access.records.history import baselines, trends
from access.records.history.worked import worked


@pytest.mark.parametrize(
    "section",
    [*trends.SECTIONS, *baselines.RATIO_SECTIONS, *baselines.DERIVED_SECTIONS, *baselines.BAND_SECTIONS],
)
def test_each_section_that_a_chart_names_stands_in_the_handbook(section: str) -> None:
    assert {"Formula", "Source", "Limits"} <= set(bullets(section))


def test_a_section_unknown_to_this_version_says_nothing() -> None:
    assert bullets("flow.of-tomorrow") == {}
    assert worked(("flow.of-tomorrow",), inputs=()) == {"inputs": [], "formula": "", "source": "", "doubt": ""}


def test_the_formula_of_several_sections_follows_in_their_order_and_sources_are_written_out() -> None:
    found = worked(("flow.interval", "flow.duplex"), inputs=())
    assert found["formula"].startswith("90 % interval = value x exp")
    assert found["formula"].endswith("x 60.")
    assert "`ndt-2005`" not in found["source"]
    assert "Nephrology Dialysis Transplantation 2005" in found["source"]


def test_an_input_without_a_value_is_left_out_and_a_doubt_is_said_last() -> None:
    found = worked(("flow.duplex",), inputs=[("Given", "5"), ("Not given", "")], doubt="Own doubt.")
    assert found["inputs"] == [{"name": "Given", "value": "5"}]
    assert found["doubt"].endswith("Own doubt.")
