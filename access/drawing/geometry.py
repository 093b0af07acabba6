"""The drawn course of each kind of access, as read from geometry/*.json.

Each file is drawn for a LEFT arm as an observer sees it who looks at the palm, the hand at the bottom: the thumb is
then at the observer's right. A right arm is the mirror image; its words are never mirrored. The course of a drawing
is a convention, not the patient's anatomy: `caution` says so. The computation of points is in centre_line.
"""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from access.measures.words import Configuration, Side

_FOLDER = Path(__file__).with_name("geometry")
Wall = Literal["vein", "graft"]
End = Literal["artery", "vein"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, kw_only=True)
class Landmark:
    """Words beside the drawing, and the arrow that stands before them, if any."""

    words: str
    x: float
    y: float
    anchor: Anchor
    arrow: Literal["", "up", "down"] = ""


@dataclass(frozen=True, kw_only=True)
class NativeVessel:
    """An artery or vein of the patient that leads to or from the access; no needle goes there."""

    name: Landmark
    kind: Literal["artery", "vein"]
    path: str


@dataclass(frozen=True, kw_only=True)
class Anastomosis:
    """Where the access is joined, at the start (artery) or the end (vein) of its centre line."""

    name: Landmark
    end: End


@dataclass(frozen=True, kw_only=True)
class Limb:
    """Neutral line art of the limb: one outline and the fine lines within."""

    seen: str
    outline: str
    details: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Geometry:
    """One configuration as drawn; ``centre`` is a start point and then cubic segments, artery first."""

    configuration: Configuration
    label: str
    limb: Limb | None
    limb_word: str
    view_box: tuple[float, float, float, float]
    callout_left: float
    callout_right: float
    wall: Wall
    width_cm: float
    usual_length_cm: float
    centre: tuple[tuple[float, ...], ...]
    landmarks: tuple[Landmark, ...]
    native: tuple[NativeVessel, ...]
    anastomoses: tuple[Anastomosis, ...]
    caution: str

    @property
    def right_edge(self) -> float:
        """The line that a mirrored drawing is turned about: x becomes ``right_edge - x``."""
        return 2 * self.view_box[0] + self.view_box[2]

    def whose(self, side: Side) -> str:
        """Which limb of the patient this is, with the side in capitals so that it is not overlooked."""
        return f"patient's {side.upper()} {self.limb_word}"


def _landmark(row: dict[str, Any], *, words: str = "") -> Landmark:
    x, y = row["at"]
    return Landmark(words=words or row["words"], x=x, y=y, anchor=row["anchor"], arrow=row.get("arrow", ""))


def _read(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"))


def _geometry(path: Path) -> Geometry:
    row = _read(path)
    limb = _read(_FOLDER / "limbs" / f"{row['limb']}.json") if row["limb"] else None
    landmarks = limb["landmarks"] if limb else row["landmarks"]
    return Geometry(
        configuration=row["configuration"],
        label=row["label"],
        limb=Limb(seen=limb["seen"], outline=limb["outline"], details=tuple(limb["details"])) if limb else None,
        limb_word=row["limb_word"],
        view_box=tuple(row["view_box"]),
        callout_left=row["callouts"]["left"],
        callout_right=row["callouts"]["right"],
        wall=row["wall"],
        width_cm=row["width_cm"],
        usual_length_cm=row["usual_length_cm"],
        centre=tuple(tuple(segment) for segment in row["centre"]),
        landmarks=tuple(_landmark(each) for each in landmarks),
        native=tuple(
            NativeVessel(name=_landmark(each["label"], words=each["name"]), kind=each["kind"], path=each["path"])
            for each in row["native"]
        ),
        anastomoses=tuple(
            Anastomosis(name=_landmark(each["label"], words=each["words"]), end=each["end"])
            for each in row["anastomoses"]
        ),
        caution=row["caution"],
    )


@cache
def geometries() -> dict[Configuration, Geometry]:
    """Every configuration as drawn; a kind without a drawing of its own has a plain labelled line."""
    found = (_geometry(path) for path in sorted(_FOLDER.glob("*.json")))
    return {each.configuration: each for each in found}
