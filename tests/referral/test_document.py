"""The sheet: one A4 page, tagged, its words extractable, nothing that was typed acting as markup."""

from io import BytesIO
from typing import Any

import pypdf
import pypdfium2
import pytest

from access.records.models import VascularAccess
from access.referral.document import described, pdf, words
from access.referral.summary import summary
from access.review import judging
from tests.records.bedside import NOW, Bedside, ago
from tests.referral.story import failing_graft, patient_of

NUMBER = "01958c6e-0000"
LONG = "Überlange Angabe with Pneumonoultramicroscopicsilicovolcanoconiosis, #danger [x] $y$ *b* _i_ <t> \\ @r `q`; "


def of(north: Bedside, access: VascularAccess) -> dict[str, Any]:
    judging.judge(access, as_of=NOW, acting=north.acting())
    ben = north.person("nephrologist")
    return summary(
        access, clinic=north.clinic, urgency="urgent", question="Imaging?", by=north.nurse, to=ben, as_of=NOW
    )


@pytest.fixture
def told(db: None) -> dict[str, Any]:
    """The summary of the failing graft."""
    north = Bedside()
    return of(north, failing_graft(north))


def text_of(document: bytes) -> str:
    """The words of the sheet, spaces made even."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(document)).pages).split())


def pages(document: bytes) -> int:
    return len(pypdf.PdfReader(BytesIO(document)).pages)


def longest(told: dict[str, Any]) -> dict[str, Any]:
    """The summary with every text as long as the store takes it, and more findings and events than a sheet holds."""

    def text(most: int) -> str:
        return (LONG * 10)[:most]

    finding = told["findings"][0] | {"sentence": text(300), "time_in_words": text(60)}
    finding["evidence"] = [{"at": finding["last_seen"], "text": text(200)}] * 10
    event = told["history"][-1] | {"outcome": text(400), "where_words": text(80)}
    return told | {
        "clinic": told["clinic"] | {"name": text(120)},
        "patient": told["patient"] | {"name": text(120), "arm_notes": text(200), "isolation": text(80)},
        "access": told["access"] | {"note": text(400)},
        "asked": told["asked"] | {"question": text(400), "by": text(120), "to": text(120)},
        "findings": [finding] * 12,
        "findings_left_out": 5,
        "history": [event] * 40,
        "newest": [row | {"doubt": text(150)} for row in told["newest"]],
        "medicines": {
            "allergies": text(200),
            "needle_allergies": text(200),
            "medicines": text(400),
            "given": text(320),
        },
    }


def test_the_sheet_is_one_a4_page(told: dict[str, Any]) -> None:
    (page,) = pypdf.PdfReader(BytesIO(pdf(told, number=NUMBER))).pages
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (595, 842)


def test_it_says_who_which_side_what_is_asked_and_how_soon(told: dict[str, Any]) -> None:
    said = text_of(pdf(told, number=NUMBER))
    for part in ("Edda Ilves", "born 12 Apr 1951", "patient's LEFT arm", "left forearm loop graft", "urgent: this"):
        assert part in said, part
    assert "Imaging?" in said and "to Nephrologist North" in said and NUMBER in said


def test_it_says_what_was_found_with_days_numbers_history_and_medicines(told: dict[str, Any]) -> None:
    said = text_of(pdf(told, number=NUMBER))
    for part in (
        "Static ratio at the venous needle at or above 0.50",
        "Limit not yet confirmed by this clinic",
        "540 mL/min",
        "13 Mar 2026",
        "12 Jun 2025",
        "venous anastomosis",
        "contrast medium: rash in 2019",
        "apixaban",
        "keep off: bulge",
        "pulse pulsatile",
    ):
        assert part in said, part


def test_what_a_chart_says_in_sentences_stands_under_it(told: dict[str, Any]) -> None:
    assert "Level now about" in told["figures"]["flow"]["statements"][0]
    assert "Level now about" in text_of(pdf(told, number=NUMBER))


def test_a_summary_frozen_before_charts_had_sentences_is_printed_as_it_was(told: dict[str, Any]) -> None:
    new = ("level", "statements", "worked", "bands")
    old = {
        name: {key: one for key, one in told["figures"][name].items() if key not in new} for name in ("flow", "ratio")
    }
    events = [{key: one[key] for key in ("on", "word")} for one in told["figures"]["events"]]
    kept = {key: one for key, one in told["figures"].items() if key not in ("pressures", "derived")}
    said = text_of(pdf(told | {"figures": kept | old | {"events": events}}, number=NUMBER))
    assert "Access flow" in said and "Level now about" not in said


def test_a_late_finding_says_since_when_it_is_known(told: dict[str, Any]) -> None:
    told["findings"][0]["known_since"] = "2026-03-17T09:00:00+00:00"
    assert "known since 17 Mar 2026" in text_of(pdf(told, number=NUMBER))


def test_the_demo_and_only_the_demo_says_that_its_patients_are_invented(told: dict[str, Any]) -> None:
    assert "Invented patients" in text_of(pdf(told, number=NUMBER))
    told["clinic"]["is_demo"] = False
    assert "nvented" not in text_of(pdf(told, number=NUMBER))


def test_a_draft_is_marked_as_one(told: dict[str, Any]) -> None:
    assert "sent 18 Mar 2026, 10:00" in text_of(pdf(told, number=NUMBER))
    assert "draft, not sent, 18 Mar 2026" in text_of(pdf(told | {"sent": False}, number=NUMBER))


def test_it_is_tagged_with_language_title_and_alternative_texts(told: dict[str, Any]) -> None:
    reader = pypdf.PdfReader(BytesIO(pdf(told, number=NUMBER)))
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en-GB"
    assert reader.metadata is not None and str(reader.metadata.title).startswith("Referral, left forearm loop graft")
    assert "pdfuaid" in root["/Metadata"].get_data().decode()
    figures = list(_figures(root["/StructTreeRoot"]))
    assert len(figures) >= 3
    assert all(len(alternative) > 40 for alternative in figures)


def _figures(node: Any) -> Any:
    """The alternative texts of the pictures in a tree of tags."""
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        for one in node:
            yield from _figures(one)
    elif isinstance(node, dict):
        if node.get("/S") == "/Figure":
            yield str(node.get("/Alt", ""))
        yield from _figures(node.get("/K", []))


def test_the_same_summary_gives_the_same_bytes(told: dict[str, Any]) -> None:
    assert pdf(told, number=NUMBER) == pdf(told, number=NUMBER)


def test_nothing_typed_acts_as_markup(told: dict[str, Any]) -> None:
    told["asked"]["question"] = LONG
    said = text_of(pdf(told, number=NUMBER))
    for part in ("#danger [x] $y$ *b* _i_ <t>", "@r `q`"):
        assert part in said


def test_texts_as_long_as_the_store_takes_them_still_fit_on_one_sheet_and_say_what_is_left_out(
    told: dict[str, Any],
) -> None:
    document = pdf(longest(told), number=NUMBER)
    assert pages(document) == 1
    said = text_of(document)
    assert "more findings on the page of the referral" in said
    assert "earlier on the page of the referral" in said
    # What a procedure must know is never cut.
    assert said.count("Medicines") >= 1 and "none recorded" not in said


@pytest.mark.django_db
def test_an_access_about_which_nothing_is_known_has_a_sheet_too() -> None:
    north = Bedside()
    empty = north.access(north.patient(), created_on=None, first_needled_on=None)
    document = pdf(of(north, empty), number=NUMBER)
    assert pages(document) == 1
    said = text_of(document)
    for part in ("No flag stands", "none is recorded", "Nothing recorded", "none recorded"):
        assert part in said, part


@pytest.mark.django_db
@pytest.mark.parametrize("configuration", ["radiocephalic", "transposed brachiobasilic", "thigh loop graft", "other"])
def test_every_kind_of_access_has_its_map_on_the_sheet(configuration: str) -> None:
    north = Bedside()
    kind = "graft" if "graft" in configuration else "fistula"
    access = north.access(patient_of(north), kind=kind, configuration=configuration, side="right")
    north.treatment(access, at=ago(2), findings={}, sites=(6, 14))
    document = pdf(of(north, access), number=NUMBER)
    assert pages(document) == 1
    assert "RIGHT" in text_of(document)


def test_the_picture_of_the_sheet_has_ink_in_every_quarter_and_a_clean_margin(told: dict[str, Any]) -> None:
    document = pypdfium2.PdfDocument(pdf(told, number=NUMBER))
    try:
        grey = document[0].render(scale=1).to_pil().convert("L")
    finally:
        document.close()
    wide, high = grey.size
    for left in (0, wide // 2):
        for top in (0, high // 2):
            quarter = grey.crop((left, top, left + wide // 2, top + high // 2))
            assert quarter.getextrema()[0] < 60
    assert grey.crop((0, 0, 30, high)).getextrema()[0] > 240
    assert grey.crop((wide - 30, 0, wide, high)).getextrema()[0] > 240


def test_every_picture_says_what_it_shows(told: dict[str, Any]) -> None:
    found = words(told, number=NUMBER)
    for alternative in (found["map"]["alt"], *(one["alt"] for one in found["charts"])):
        assert "without a description" not in alternative
    assert "Newest" in found["charts"][0]["alt"]
    assert described("<svg/>") == "A picture without a description."
