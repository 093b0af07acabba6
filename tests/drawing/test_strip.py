"""Findings over time: odd and normal differ by shape, and a sign that was not looked at leaves a gap."""

from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree

from access.drawing.series import FindingMark
from access.drawing.strip import findings_strip

SVG = "{http://www.w3.org/2000/svg}"
UNTIL = datetime(2026, 3, 9, tzinfo=UTC)


def seen(sign: str, reading: str, *, days_ago: int, odd: bool = False) -> FindingMark:
    return FindingMark(at=UNTIL - timedelta(days=days_ago), sign=sign, reading=reading, odd=odd)


def drawn(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - made by the code under test.


def said(svg: str) -> list[str]:
    return [each.text or "" for each in drawn(svg).iter(f"{SVG}text")]


MARKS = [
    seen("thrill", "continuous", days_ago=20),
    seen("thrill", "continuous", days_ago=13),
    seen("thrill", "weak", days_ago=6, odd=True),
    seen("pulse", "soft", days_ago=20),
]


def test_odd_is_a_diamond_and_normal_a_tick() -> None:
    svg = findings_strip(MARKS, until=UNTIL)
    assert len(list(drawn(svg).iter(f"{SVG}path"))) == 1
    ticks = [each for each in drawn(svg).iter(f"{SVG}line") if each.attrib["x1"] == each.attrib["x2"]]
    in_rows = [each for each in ticks if float(each.attrib["y2"]) < 64]
    assert len(in_rows) == 3


def test_each_sign_has_its_newest_reading_in_words() -> None:
    words = said(findings_strip(MARKS, until=UNTIL, width=360))
    assert words[:4] == ["thrill", "weak", "pulse", "soft"]


def test_the_description_counts_only_what_was_looked_at() -> None:
    svg = findings_strip(MARKS, until=UNTIL)
    assert drawn(svg).findtext(f"{SVG}desc") == (
        "Thrill: odd in 1 of 3, newest weak on 3 Mar 2026. Pulse: odd in 0 of 1, newest soft on 17 Feb 2026."
    )


def test_no_examination_is_said() -> None:
    assert "no examination recorded" in said(findings_strip([], until=UNTIL))
