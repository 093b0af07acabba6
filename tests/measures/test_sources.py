"""The bibliography, and that code, cases and the README name only what it holds."""

import importlib
import inspect
import re
import tomllib
from pathlib import Path
from types import ModuleType
from typing import get_args

import pytest

from access.measures import Refused, sources
from access.measures.words import FlowMethod
from tests.measures.cases import every_case

FOLDER = Path(sources.__file__).parent
README = (FOLDER / "README.md").read_text(encoding="utf-8")
SECTIONS = {
    match[1]: match[2] for match in re.finditer(r"^### (\S+)\n(.*?)(?=^#{2,3} |\Z)", README, re.MULTILINE | re.DOTALL)
}
SAYS = ("Formula", "Units", "Source", "Limits", "Worked example", "Outside check")
CHAPTERS = (
    "Numbers and units", "Recirculation", "Access flow", "Dose", "Pressure", "Needles and sites", "Circuit model",
    "Patency and rates", "Trend",
)  # fmt: skip
FORMULAS = [
    heading
    for chapter in re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", README, re.MULTILINE | re.DOTALL)
    if chapter[0] in CHAPTERS
    for heading in re.findall(r"^### (\S+)$", chapter[1], re.MULTILINE)
]
MODULES = (
    "alarm", "clustering", "derived", "dose", "draw_conditions", "fieller", "flow", "flow_interval", "flow_series",
    "operating", "patency", "plausibility", "pressure_baseline", "pressure_series", "rates", "recirculation", "sites",
    "smoother", "step_test", "survival", "trend", "units", "usual_flow",
)  # fmt: skip


def test_every_source_has_a_reference_and_one_of_the_five_standings() -> None:
    assert len(sources.sources()) > 80
    for key, found in sources.sources().items():
        assert found.id == key == key.lower()
        assert found.reference.endswith((".", ")"))
        assert found.standing in sources.STANDINGS


@pytest.mark.parametrize("key", ["common-practice", "from-memory", "own-choice", "simulation", "kdoqi-2006"])
def test_a_source_is_found_by_its_id(key: str) -> None:
    assert sources.source(key).id == key


def test_a_guideline_that_is_only_remembered_is_not_called_published() -> None:
    assert {sources.source(key).standing for key in ("ebpg-2007", "esvs-2018", "jsdt-2011")} == {"from memory"}


def test_an_unknown_id_or_standing_is_refused() -> None:
    with pytest.raises(Refused, match="no source with the id"):
        sources.source("kdoqi-1066")
    with pytest.raises(Refused, match="is no standing"):
        sources.standing("certain")


def test_the_variation_of_a_flow_method_is_known_for_three_of_six() -> None:
    known = sources.flow_cv()
    assert known.keys() == {"ultrasound dilution", "duplex", "thermodilution"}
    assert known.keys() <= set(get_args(FlowMethod))
    assert known["ultrasound dilution"].cv == 0.142  # ndt-2005, between sessions
    assert all(row.source in sources.sources() for row in known.values())


def test_the_variations_worked_out_follow_from_those_printed() -> None:
    # ndt-2005: ultrasound dilution .142 between and .077 within sessions; the rest is from day to day.
    between_days = (0.142**2 - 0.077**2) ** 0.5
    known = sources.flow_cv()
    assert between_days == pytest.approx(0.119, abs=0.0005)
    assert known["duplex"].cv == pytest.approx((0.116**2 + between_days**2) ** 0.5, abs=0.0005)
    assert known["thermodilution"].cv == pytest.approx((0.08**2 + between_days**2) ** 0.5, abs=0.0005)


def test_every_case_names_a_source_and_a_formula_with_a_heading() -> None:
    for case in every_case("recirculation", "flow", "dose"):
        assert case["source"] in sources.sources()
        assert case["formula"] in SECTIONS
        assert case["tolerance"] > 0
        if case["kind"] == "published":
            assert sources.source(case["source"]).standing == "published"
            assert case["where"]


@pytest.mark.parametrize("heading", FORMULAS)
def test_a_section_says_all_six_things(heading: str) -> None:
    said = re.findall(r"^- \*\*(.+?)\*\*: \S", SECTIONS[heading], re.MULTILINE)
    assert tuple(said) == SAYS


@pytest.mark.parametrize("heading", sorted(SECTIONS))
def test_a_section_names_only_sources_that_exist(heading: str) -> None:
    for line in re.findall(r"^- \*\*Source\*\*: (.*?)(?=^- |\Z)", SECTIONS[heading], re.MULTILINE | re.DOTALL):
        for key in re.findall(r"`([a-z0-9-]+)`", line):
            assert key in sources.sources()


@pytest.mark.parametrize("name", MODULES)
def test_a_docstring_refers_only_to_sources_that_exist(name: str) -> None:
    keys = _references(importlib.import_module(f"access.measures.{name}"))
    assert keys
    assert keys <= sources.sources().keys()


def test_the_bibliography_is_read_as_it_is_written() -> None:
    raw = tomllib.loads((FOLDER / "sources.toml").read_text(encoding="utf-8"))
    assert raw.keys() == {"source", "flow_cv"}
    assert raw["source"].keys() == sources.sources().keys()


def _references(module: ModuleType) -> set[str]:
    keys: set[str] = set()
    for block in re.findall(r"References\n\s*-+\n(.*?)\n\s*\"\"\"", inspect.getsource(module), re.DOTALL):
        keys.update(key.strip() for key in block.split(","))
    return keys
