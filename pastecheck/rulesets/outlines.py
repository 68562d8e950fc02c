"""The section `outlines` of a rule set: how the file for the cutter is laid out and cut, and never judged."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pastecheck.rulesets.values import LENGTH, TRUTH, Key, Kind, key
from pastecheck.units import quoted, shown

MOST_OVERCUT_MM: Final = 0.05
"""Common practice, no source: beyond its corner, or its start, a cut only harms the film."""


@dataclass(frozen=True, slots=True)
class OutlineSettings:
    """What a file of outlines holds besides the openings, and how these are cut."""

    overcut_mm: float = 0.0
    """How far each outline is cut again beyond its start, where webs allow it."""
    hop_mm: float = 3.0
    """How far openings cut one after the other lie apart, where there are enough to choose from."""
    margin_mm: float = 15.0
    """From the openings to the frame that cuts the foil out of the sheet."""
    coupon: bool = True
    marks: bool = True
    frame: bool = True


def _short(text: str) -> float:
    length_mm = LENGTH.read(text)
    if length_mm > MOST_OVERCUT_MM:
        raise ValueError(f"expected at most {shown(MOST_OVERCUT_MM, 'mm')}, got {quoted(text)}")
    return length_mm


USUAL: Final = OutlineSettings()
"""Where a rule set says nothing."""

KEYS: Final[Mapping[str, Key]] = {
    "overcut": key(
        Kind(_short, LENGTH.hint, LENGTH.schema),
        f"how far each outline is cut again beyond its start, at most {MOST_OVERCUT_MM} mm, and always less "
        "than a quarter of the web beside it; 0 unless given",
    ),
    "hop": key(
        LENGTH,
        "how far openings that are cut one after the other lie apart, where there are enough; "
        f"{USUAL.hop_mm:g} mm unless given",
    ),
    "margin": key(LENGTH, f"from the openings to the frame; {USUAL.margin_mm:g} mm unless given"),
    "coupon": key(
        TRUTH, "whether there is a coupon to try the cutter on beside the frame; true unless given"
    ),
    "marks": key(TRUTH, "whether there are registration marks about the openings; true unless given"),
    "frame": key(TRUTH, "whether the foil is cut out of the sheet; true unless given"),
}
"""What the section holds."""


def outlines_of(found: Mapping[str, Any]) -> OutlineSettings:
    """The section, read and merged."""
    fields = {"overcut": "overcut_mm", "hop": "hop_mm", "margin": "margin_mm"}
    said = {fields.get(name, name): one for name, one in found.items() if one is not None}
    return OutlineSettings(**said)
