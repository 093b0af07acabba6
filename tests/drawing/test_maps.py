"""The map as a picture: words upright and escaped, needles lettered, zones named, both sides, nothing left unsaid."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from access.drawing.charts import flow_chart, pressure_chart
from access.drawing.geometry import geometries
from access.drawing.maps import Pair, PastSite, View, ZoneMark, render
from access.drawing.series import ChartPoint, Level
from access.measures import Refused
from access.measures.words import Configuration, Side

NOW = datetime(2026, 3, 9, tzinfo=UTC)
SVG = "{http://www.w3.org/2000/svg}"
PLAN = Pair(arterial_cm=6.0, venous_cm=14.5)
BULGE = ZoneMark(from_cm=9.5, to_cm=11.0, why="bulge", action="keep off")
BRUISE = ZoneMark(from_cm=16.0, to_cm=17.0, why="bruise", action="take care")
PAST = [
    PastSite(role="arterial", along_cm=5.0, days=2),
    PastSite(role="venous", along_cm=12.5, days=4, across_cm=0.2),
    PastSite(role="arterial", along_cm=7.0, days=30),
]


def drawn(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - made by the code under test.


def said(svg: str) -> list[str]:
    return [each.text or "" for each in drawn(svg).iter(f"{SVG}text")]


def described(svg: str) -> str:
    return drawn(svg).findtext(f"{SVG}desc") or ""


def full(configuration: Configuration = "radiocephalic", side: Side = "left", view: View = "whole") -> str:
    return render(
        configuration, side=side, length_cm=22, needled=(4, 20), punctures=PAST, zones=[BULGE, BRUISE],
        planned=PLAN, view=view,
    )  # fmt: skip


def groups(root: ElementTree.Element, *, mirrored: bool = False) -> Iterator[tuple[ElementTree.Element, bool]]:
    """Each element with whether it stands within a mirrored group."""
    for child in root:
        turned = mirrored or "scale(-1" in child.attrib.get("transform", "")
        yield child, turned
        yield from groups(child, mirrored=turned)


@pytest.mark.parametrize("configuration", sorted(geometries()))
@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("view", ["whole", "needled"])
def test_every_access_is_drawn_on_either_side_in_either_view(
    configuration: Configuration, side: Side, view: View
) -> None:
    words = said(full(configuration, side, view))
    assert geometries()[configuration].whose(side) in words
    assert {"A 6.0 cm", "V 14.5 cm", "planned", "keep off: bulge", "A", "V"} <= set(words)


def test_whose_arm_and_which_way_is_said_in_words() -> None:
    words = said(full())
    assert {"patient's LEFT arm", "palm up, seen from the front", "hand", "shoulder", "thumb side"} <= set(words)
    assert "patient's RIGHT arm" in said(full(side="right"))


def test_where_only_a_part_is_shown_hand_shoulder_and_thumb_side_are_still_named() -> None:
    words = said(full(view="needled"))
    assert {"hand", "shoulder", "thumb side"} <= set(words)
    assert "wrist" not in words  # It lies below the shown part.


@pytest.mark.parametrize("configuration", ["radiocephalic", "forearm loop graft"])
def test_no_word_is_ever_mirrored(configuration: Configuration) -> None:
    pairs = list(groups(drawn(full(configuration, "right"))))
    assert any(turned for element, turned in pairs if element.tag == f"{SVG}path")
    assert not any(turned for element, turned in pairs if element.tag == f"{SVG}text")


def test_the_two_sides_are_mirror_images() -> None:
    edge = geometries()["radiocephalic"].right_edge
    left, right = (
        {(round(x, 1), y) for x, y in rings(full(side=side), mirrored_at=edge if side == "right" else None)}
        for side in ("left", "right")
    )
    assert left and left == right


def rings(svg: str, *, mirrored_at: float | None) -> Iterator[tuple[float, float]]:
    for each in drawn(svg).iter(f"{SVG}circle"):
        x = float(each.attrib["cx"])
        yield (x if mirrored_at is None else mirrored_at - x), float(each.attrib["cy"])


def test_on_a_left_arm_the_thumb_side_is_named_at_the_right_on_a_right_arm_at_the_left() -> None:
    def x_of(word: str, side: Side) -> float:
        found = next(each for each in drawn(full(side=side)).iter(f"{SVG}text") if each.text == word)
        return float(found.attrib["x"])

    assert x_of("thumb side", "left") > x_of("hand", "left")
    assert x_of("thumb side", "right") < x_of("hand", "right")


def test_a_planned_needle_is_hollow_and_a_placed_one_filled() -> None:
    red = "#b3241b"
    planned = render("radiocephalic", side="left", planned=PLAN)
    placed = render("radiocephalic", side="left", placed=PLAN)
    assert f'fill="{red}" stroke="{red}"' in placed
    assert f'fill="{red}" stroke="{red}"' not in planned
    assert f'stroke="{red}"' in planned


def test_red_and_blue_are_kept_for_the_needles() -> None:
    without = render("radiocephalic", side="left", punctures=PAST, zones=[BULGE, BRUISE])
    colours = set(re.findall(r"#[0-9a-f]{6}", without))
    assert colours.isdisjoint({"#b3241b", "#1d4f9f"})
    for colour in colours:  # What is left is ink and paper: no channel stands far out.
        channels = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
        assert max(channels) - min(channels) < 40


def test_every_colour_can_be_overridden_by_a_class_and_nothing_by_a_style() -> None:
    svg = full()
    assert "style=" not in svg
    for element in drawn(svg).iter():
        names = element.attrib.get("class", "")
        for kind in ("fill", "stroke"):
            if element.attrib.get(kind, "none") != "none":
                assert f"{kind}-" in names, ElementTree.tostring(element)


def test_every_tone_of_a_drawing_has_its_rule_in_the_page_s_stylesheet() -> None:
    sheet = (Path(__file__).parents[2] / "frontend" / "page" / "styles" / "drawing.css").read_text(encoding="utf-8")
    points = [ChartPoint(at=NOW, value=5.0, low=4.0, high=6.0), ChartPoint(at=NOW, value=None, mark="hollow")]
    drawings = [
        full("forearm loop graft"),
        render("radiocephalic", side="left", placed=PLAN),
        flow_chart(points, until=NOW, level=[Level(at=NOW, value=5, low=4, high=6)]),
        pressure_chart(venous=points[:1], arterial=points[:1], until=NOW),
    ]
    used = {name for svg in drawings for names in re.findall(r'class="([^"]*)"', svg) for name in names.split()}
    tones = {name for name in used if name.startswith(("fill-", "stroke-"))}
    assert len(tones) > 12
    assert {name for name in tones if f".{name} {{" not in sheet} == set()


def test_ages_are_written_beside_recent_punctures_only() -> None:
    words = said(full())
    assert {"A 2 days", "V 4 days"} <= set(words)
    assert not any("30" in each and "day" in each for each in words)


def test_a_fresh_site_is_hatched_more_densely_than_a_rested_one() -> None:
    def strokes(days: int) -> int:
        site = PastSite(role="arterial", along_cm=8.0, days=days)
        return render("radiocephalic", side="left", punctures=[site]).count("stroke-hatch")

    assert strokes(1) > strokes(5) > strokes(10) > strokes(20) == 0


def test_keep_off_is_crossed_and_take_care_is_not() -> None:
    def strokes(zone: ZoneMark) -> int:
        return render("radiocephalic", side="left", zones=[zone]).count("stroke-hatch")

    care = ZoneMark(from_cm=BULGE.from_cm, to_cm=BULGE.to_cm, why="bulge", action="take care")
    assert strokes(BULGE) == 2 * strokes(care) > 0


def test_a_long_reason_takes_a_line_of_its_own() -> None:
    track = ZoneMark(from_cm=9, to_cm=10, why="buttonhole track", action="take care")
    assert {"take care:", "buttonhole track", "9–10 cm"} <= set(
        said(render("radiocephalic", side="left", zones=[track]))
    )


def test_the_shown_part_grows_until_all_labels_have_room() -> None:
    many = [PastSite(role="arterial", along_cm=5 + index / 2, days=index % 13) for index in range(24)]
    svg = render("radiocephalic", side="left", needled=(5, 12), punctures=many, view="needled")
    feet = sorted(
        float(each.attrib["y"]) for each in drawn(svg).iter(f"{SVG}text") if (each.text or "").endswith("days")
    )
    assert len(feet) > 15
    assert min(after - before for before, after in pairwise(feet)) > 12
    top, height = (float(drawn(svg).attrib["viewBox"].split()[index]) for index in (1, 3))
    assert feet[-1] < top + height - 30


def test_what_lies_beyond_the_vessel_is_left_out_and_counted_in_the_description() -> None:
    far = PastSite(role="venous", along_cm=30.0, days=1)
    svg = render("radiocephalic", side="left", length_cm=20, punctures=[*PAST, far])
    assert "Not drawn, because beyond 20 cm: 1." in described(svg)
    assert "V 1 day" not in said(svg)


def test_a_vessel_of_unknown_length_reaches_as_far_as_it_is_needled() -> None:
    svg = render("radiocephalic", side="left", needled=(4, 27), placed=Pair(arterial_cm=6, venous_cm=26))
    assert "V 26.0 cm" in said(svg)


def test_the_description_says_in_sentences_what_is_drawn() -> None:
    assert described(full()) == (
        "Patient's LEFT arm, radiocephalic fistula, forearm. Distances are in cm along the vessel from the artery. "
        "Planned: arterial at 6.0 cm, venous at 14.5 cm. "
        "Keep off, 9.5 to 11 cm: bulge. Take care, 16 to 17 cm: bruise. "
        "Last punctures: arterial 5.0 cm, 2 days; venous 12.5 cm, 4 days. "
        "The vein of this patient may run otherwise; positions are measured along it from where the artery joins it."
    )


def test_the_loop_says_which_limb_it_takes_for_arterial() -> None:
    svg = render("forearm loop graft", side="left")
    assert "arterial limb on the little-finger side; in some patients it lies on the thumb side" in described(svg)


@settings(max_examples=25, deadline=None)
@given(title=st.text(min_size=1))
def test_any_title_gives_a_picture_that_can_be_read(title: str) -> None:
    assert drawn(render("other", side="left", title=title)).tag == f"{SVG}svg"


def test_a_vessel_without_length_is_refused() -> None:
    with pytest.raises(Refused):
        render("radiocephalic", side="left", length_cm=0)
