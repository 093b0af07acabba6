"""The handbook as data: every section with its headings, and what is not there."""

import re
from pathlib import Path

import pytest

from access.measures import Refused, handbook

README = (Path(handbook.__file__).parent / "README.md").read_text(encoding="utf-8")
HEADINGS = re.findall(r"^### (\S+)$", README, re.MULTILINE)


@pytest.mark.parametrize("key", HEADINGS)
def test_a_section_is_what_stands_between_its_heading_and_the_next(key: str) -> None:
    text = handbook.section(key)
    assert text and text in README
    assert "\n#" not in text


def test_the_bullets_of_a_section_are_read_whole() -> None:
    said = handbook.bullets("recirculation.three-samples")
    assert list(said) == ["Formula", "Units", "Source", "Limits", "Worked example", "Outside check"]
    assert said["Worked example"] == "60 / 51 / 15 gives 100 x 9 / 45 = 20 %."
    assert not any("\n" in one for one in said.values())


def test_a_table_below_the_bullets_is_not_part_of_the_last() -> None:
    assert "|" not in handbook.bullets("flow.operating")["Outside check"]


def test_a_section_that_is_not_there_is_refused_and_has_no_bullets() -> None:
    with pytest.raises(Refused):
        handbook.section("flow.of-tomorrow")
    assert handbook.bullets("flow.of-tomorrow") == {}
