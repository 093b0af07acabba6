"""The charts as pictures: time to the right, missing shown as missing, limits and events named, newest written out."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree

import pytest

from access.drawing.charts import flow_chart, pressure_chart, ratio_chart, sparkline
from access.drawing.series import Band, ChartPoint, EventMark, Level, Limit

SVG = "{http://www.w3.org/2000/svg}"
UNTIL = datetime(2026, 3, 9, 12, tzinfo=UTC)
MONTHLY = [UNTIL - timedelta(days=30 * (11 - index)) for index in range(12)]
FLOWS = [
    ChartPoint(at=at, value=900.0 - 30 * index, low=800.0 - 30 * index, high=1000.0 - 30 * index)
    for index, at in enumerate(MONTHLY)
]
LIMIT = Limit(value=600, name="600: repeat and examine")
ANGIOPLASTY = EventMark(on=date(2025, 11, 3), word="angioplasty", breaks_level=True)
WIDTHS = pytest.mark.parametrize("width", [360, 720])


def drawn(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - made by the code under test.


def said(svg: str) -> str:
    return " ".join("".join(each.itertext()) for each in drawn(svg).iter(f"{SVG}text"))


def described(svg: str) -> str:
    return drawn(svg).findtext(f"{SVG}desc") or ""


def circles(svg: str) -> list[tuple[float, float]]:
    return [(float(each.attrib["cx"]), float(each.attrib["cy"])) for each in drawn(svg).iter(f"{SVG}circle")]


@WIDTHS
def test_time_runs_to_the_right_and_values_upward(width: float) -> None:
    dots = circles(flow_chart(FLOWS, until=UNTIL, width=width))
    assert len(dots) == 12
    assert [x for x, _ in dots] == sorted(x for x, _ in dots)
    assert [y for _, y in dots] == sorted(y for _, y in dots)  # The flow falls, so the dots go down.


@WIDTHS
def test_everything_stays_within_the_picture(width: float) -> None:
    svg = flow_chart(FLOWS, until=UNTIL, limits=[LIMIT], events=[ANGIOPLASTY], width=width)
    root = drawn(svg)
    height = float(root.attrib["height"])
    assert float(root.attrib["width"]) == width
    for each in root.iter(f"{SVG}line"):
        for key, most in (("x1", width), ("x2", width), ("y1", height), ("y2", height)):
            assert 0 <= float(each.attrib[key]) <= most


@WIDTHS
def test_the_newest_value_is_written_out_with_unit_and_day(width: float) -> None:
    assert "570 mL/min9 Mar 2026" in said(flow_chart(FLOWS, until=UNTIL, width=width))


@WIDTHS
def test_a_limit_is_dashed_and_named_at_its_end(width: float) -> None:
    svg = flow_chart(FLOWS, until=UNTIL, limits=[LIMIT], width=width)
    assert svg.count('stroke-dasharray="5 4"') == 1
    for word in LIMIT.name.split():
        assert word in said(svg)


@WIDTHS
def test_an_event_is_a_vertical_with_its_word(width: float) -> None:
    svg = flow_chart(FLOWS, until=UNTIL, events=[ANGIOPLASTY], width=width)
    assert "angioplasty" in said(svg)
    assert "Events: angioplasty 3 Nov 2025." in described(svg)


def test_an_event_outside_the_shown_time_is_not_drawn() -> None:
    long_ago = EventMark(on=date(2019, 1, 1), word="creation")
    assert "creation" not in said(flow_chart(FLOWS, until=UNTIL, events=[long_ago]))


def test_what_was_due_and_not_measured_is_drawn_as_missing_and_never_as_zero() -> None:
    gap = [*FLOWS[:5], ChartPoint(at=MONTHLY[5], value=None), *FLOWS[6:]]
    svg = flow_chart(gap, until=UNTIL)
    assert len(circles(svg)) == 11
    assert "not measured" in said(svg)
    assert "11 measured since" in described(svg)
    assert "Due and not measured: 1." in described(svg)


def test_nothing_measured_is_said_and_not_drawn() -> None:
    svg = flow_chart([], until=UNTIL)
    assert "nothing measured" in said(svg)
    assert described(svg).startswith("Nothing measured.")
    assert circles(svg) == []


def test_the_interval_of_a_value_is_drawn_around_its_dot() -> None:
    def uprights(points: list[ChartPoint]) -> int:
        lines = drawn(flow_chart(points, until=UNTIL)).iter(f"{SVG}line")
        return sum(each.attrib["x1"] == each.attrib["x2"] and "stroke-ink" in each.attrib["class"] for each in lines)

    bare = [ChartPoint(at=each.at, value=each.value) for each in FLOWS]
    assert uprights(FLOWS) == 12
    assert uprights(bare) == 0


def test_a_value_that_cannot_be_compared_is_hollow_and_named_in_the_key() -> None:
    odd = ChartPoint(at=MONTHLY[-1], value=700, mark="blood water, not comparable")
    svg = flow_chart([*FLOWS[:-1], odd], until=UNTIL)
    assert "blood water, not comparable" in said(svg)
    assert svg.count('class="fill-paper stroke-ink"') == 2  # The dot, and its sign in the key.


def test_the_level_starts_anew_after_an_event_that_changes_the_vessel() -> None:
    level = [Level(at=at, value=800, low=700, high=900) for at in MONTHLY]
    other = EventMark(on=ANGIOPLASTY.on, word="catheter out")
    assert flow_chart(FLOWS, until=UNTIL, level=level, events=[ANGIOPLASTY]).count("<polygon") == 2
    assert flow_chart(FLOWS, until=UNTIL, level=level, events=[other]).count("<polygon") == 1


def test_a_band_of_the_level_that_grew_wide_does_not_press_the_dots_together() -> None:
    calm = [Level(at=at, value=800, low=700, high=900) for at in MONTHLY]
    wide = [*calm[:-1], Level(at=UNTIL, value=800, low=100, high=9000)]
    tops = [circles(flow_chart(FLOWS, until=UNTIL, level=level))[0][1] for level in (calm, wide)]
    foot = float(drawn(flow_chart(FLOWS, until=UNTIL)).attrib["height"])
    assert foot - tops[1] > 0.6 * (foot - tops[0])
    assert "clipPath" in flow_chart(FLOWS, until=UNTIL, level=wide)  # What lies beyond the plane is cut off.


def test_a_doubtful_value_and_the_newest_level_are_described() -> None:
    level = [Level(at=UNTIL, value=812, low=700.4, high=940)]
    svg = flow_chart([*FLOWS[:-1], ChartPoint(at=UNTIL, value=300, mark="doubtful")], until=UNTIL, level=level)
    assert "Doubtful: 300 mL/min on 9 Mar 2026." in described(svg)
    assert "Estimated level 812 mL/min (90 % interval 700 to 940) on 9 Mar 2026." in described(svg)


@WIDTHS
def test_words_of_near_events_never_lie_on_each_other(width: float) -> None:
    words_of = ("clotted", "thrombectomy", "catheter out", "angioplasty")
    near = [EventMark(on=date(2025, 11, 3 + row), word=word) for row, word in enumerate(words_of)]
    svg = flow_chart(FLOWS, until=UNTIL, events=near, width=width)
    texts = [each for each in drawn(svg).iter(f"{SVG}text") if "".join(each.itertext()) in words_of]
    rows = [float(each.attrib["y"]) for each in texts]
    assert len(texts) == 3 and len(set(rows)) == 3
    assert all(word in described(svg) for word in words_of)  # The one without room is told all the same.


def test_two_bands_that_overlap_are_told_apart_by_the_edges_of_their_needles() -> None:
    bands = [Band(low=0.4, high=0.6, name="baseline A", mark="A"), Band(low=0.3, high=0.5, name="baseline V", mark="V")]
    svg = ratio_chart([ChartPoint(at=UNTIL, value=0.5, mark="A")], until=UNTIL, bands=bands)
    edges = [each for each in drawn(svg).iter(f"{SVG}line") if each.attrib.get("stroke-width") == "0.8"]
    dotted = {each.attrib["class"]: "stroke-dasharray" in each.attrib for each in edges}
    assert dotted == {"stroke-arterial": False, "stroke-venous": True}
    assert len(edges) == 8  # Both ends of both on the plane, and in the key.
    areas, _, after = svg.rpartition("fill-band")
    assert areas.count("fill-band") == 3 and after.count('stroke-width="0.8"') == 4  # No area hides an edge.


def test_a_band_that_ended_before_the_chart_begins_is_not_drawn() -> None:
    gone = Band(low=0.3, high=0.5, name="baseline", until=UNTIL - timedelta(days=2000))
    svg = ratio_chart([ChartPoint(at=UNTIL, value=0.5, mark="A")], until=UNTIL, bands=[gone])
    assert all(float(each.attrib["width"]) > 0 for each in drawn(svg).iter(f"{SVG}rect"))


def test_the_two_needles_differ_by_shape_and_letter_and_not_by_colour_alone() -> None:
    points = [ChartPoint(at=MONTHLY[3], value=0.6, mark="A"), ChartPoint(at=MONTHLY[3], value=0.32, mark="V")]
    svg = ratio_chart(points, until=UNTIL)
    assert len(circles(svg)) == 1
    squares = [each for each in drawn(svg).iter(f"{SVG}rect") if "fill-venous" in each.attrib["class"]]
    assert len(squares) == 1
    assert "A 0.60" in said(svg) and "V 0.32" in said(svg)


def test_without_needles_there_is_neither_red_nor_blue() -> None:
    svg = flow_chart(FLOWS, until=UNTIL, limits=[LIMIT], events=[ANGIOPLASTY])
    assert "arterial" not in svg and "venous" not in svg
    assert "#b3241b" not in svg and "#1d4f9f" not in svg


@WIDTHS
def test_more_negative_is_lower_and_the_usual_band_is_named(width: float) -> None:
    arterial = [ChartPoint(at=MONTHLY[0], value=-150, mark="A"), ChartPoint(at=MONTHLY[6], value=-230, mark="A")]
    svg = pressure_chart(
        venous=[], arterial=arterial, until=UNTIL, width=width,
        arterial_bands=[Band(low=-200, high=-140, name="usual, 15G at 400 mL/min")],
        arterial_limits=[Limit(value=-250, name="not below −250")],
    )  # fmt: skip
    dots = circles(svg)
    assert dots[1][1] > dots[0][1]
    assert "A −230 mmHg" in said(svg)
    assert "usual, 15G at 400 mL/min" in said(svg)
    assert "Venous: nothing measured." in described(svg)


def test_a_line_pressure_always_carries_the_letter_of_its_needle() -> None:
    bare = [ChartPoint(at=MONTHLY[0], value=140)]
    svg = pressure_chart(venous=bare, arterial=[], until=UNTIL)
    assert "V 140 mmHg" in said(svg)


def test_the_small_chart_keeps_its_size_and_says_its_newest_value() -> None:
    svg = sparkline(FLOWS, until=UNTIL, unit="mL/min", limits=[LIMIT], title="Flow")
    root = drawn(svg)
    assert (root.attrib["width"], root.attrib["height"]) == ("160", "40")
    assert said(svg) == "570 mL/min"
    assert len(circles(svg)) == 12


def test_the_level_of_the_small_chart_breaks_where_that_of_the_large_one_does() -> None:
    level = [Level(at=at, value=800, low=700, high=900) for at in MONTHLY]
    shared = {"until": UNTIL, "unit": "mL/min", "level": level, "title": "Flow"}
    assert sparkline(FLOWS, **shared).count("<polygon") == 1  # type: ignore[arg-type]
    svg = sparkline(FLOWS, events=[ANGIOPLASTY], **shared)  # type: ignore[arg-type]
    assert svg.count("<polygon") == 2
    assert "angioplasty" not in svg  # A small chart has no room for the word.


def test_the_small_chart_of_nothing_says_so() -> None:
    assert said(sparkline([], until=UNTIL, unit="mL/min", title="Flow")) == "none measured"


@pytest.mark.parametrize("chart", [flow_chart, ratio_chart])
def test_one_single_value_makes_a_chart(chart: Callable[..., str]) -> None:
    assert len(circles(chart([ChartPoint(at=UNTIL, value=0.5)], until=UNTIL))) == 1


def test_equal_values_make_a_chart() -> None:
    flat = [ChartPoint(at=at, value=-200, mark="A") for at in MONTHLY]
    assert len(circles(pressure_chart(venous=[], arterial=flat, until=UNTIL))) == 12
