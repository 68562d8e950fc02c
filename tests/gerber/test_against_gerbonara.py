"""
The reader and an independent library find the same objects in the same places.

gerbonara 1.5.0 is held against ours only where it can be trusted: flashes, draws and regions in inches and
millimetres, polarity, standard apertures and macro primitives 1, 4, 20 and 21; not step and repeat,
transforms, blocks, nor modal operations.
"""

import math
import warnings

import gerbonara
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pastecheck import gerber
from pastecheck.drawing import Drawing, Kind

APERTURES = (
    "C,0.5", "C,0.8X0.3", "R,0.3X0.8", "O,0.9X0.4", "P,1X6X15", "DISC,0.4", "PLATE,0.3X0.2", "BAR,0.1",
    "BOX,0.6X0.2",
)  # fmt: skip
MACROS = (
    "%AMDISC*1,1,$1x2,0,0,0*%", "%AMPLATE*4,1,3,0,0,$1,0,0,$2,0,0,30*%", "%AMBAR*20,1,$1,0,0,0.5,0.5,0*%",
    "%AMBOX*21,1,$1,$2/2,0,0,45*%",
)  # fmt: skip
KINDS = {"Flash": Kind.FLASH, "Line": Kind.STROKE, "Arc": Kind.STROKE, "Region": Kind.REGION}
Found = tuple[Kind, bool, float, float]


@st.composite
def plain_layers(draw: st.DrawFn) -> str:
    """Layers of one statement a thing, all coordinates written."""
    place = st.tuples(st.integers(-99_999, 99_999), st.integers(-99_999, 99_999)).map("X{0[0]}Y{0[1]}".format)
    lines = [draw(st.sampled_from(("%MOMM*%", "%MOIN*%"))), "%FSLAX24Y24*%", *MACROS]
    lines += [f"%ADD{10 + k}{aperture}*%" for k, aperture in enumerate(APERTURES)]
    lines += ["G75*", "G01*", "%LPD*%"]
    for thing in draw(st.lists(st.sampled_from(("flash", "draw", "region", "clear", "dark")), max_size=12)):
        if thing == "flash":
            lines += [f"D{10 + draw(st.integers(0, len(APERTURES) - 1))}*", f"{draw(place)}D03*"]
        elif thing == "draw":
            lines += ["D10*", f"{draw(place)}D02*", f"{draw(place)}D01*"]
        elif thing == "region":
            corners = draw(st.lists(place, min_size=3, max_size=6, unique=True))
            drawn = [f"{corner}D01*" for corner in (*corners[1:], corners[0])]
            lines += ["G36*", f"{corners[0]}D02*", *drawn, "G37*"]
        else:
            lines.append(f"%LP{thing[0].upper()}*%")
    return "\n".join([*lines, "M02*\n"])


@settings(max_examples=15)
@given(plain_layers())
def test_the_same_objects_are_found_in_the_same_places(text: str) -> None:
    ours, theirs = _ours(gerber.read(text.encode(), "made.gbr")), _theirs(text)
    assert [one[:2] for one in ours] == [other[:2] for other in theirs]
    for one, other in zip(ours, theirs, strict=True):
        assert one[2:] == pytest.approx(other[2:], abs=1e-6)


@pytest.mark.parametrize(
    ("aperture", "area_mm2"),
    [
        ("C,2", math.pi),
        ("R,1.5X0.5", 0.75),
        ("O,2X1", 1 + math.pi / 4),
        ("DISC,0.5", math.pi / 4),
        ("PLATE,2X1", 1.0),
        ("BOX,0.6X0.2", 0.06),
        ("BAR,0.1", 0.1 * math.sqrt(0.5)),
    ],
)
def test_apertures_have_the_same_area(aperture: str, area_mm2: float) -> None:
    text = "\n".join(["%MOMM*%", "%FSLAX24Y24*%", *MACROS, f"%ADD10{aperture}*%", "D10*", "X0Y0D03*", "M02*"])
    (mark,) = gerber.read(text.encode(), "a").apertures[0].primitives[0].marks
    length = 2 * math.hypot(*mark.core_mm[-1]) if len(mark.core_mm) == 2 else 0.0
    ours = math.pi * mark.radius_mm**2 + 2 * mark.radius_mm * length + _shoelace(mark.core_mm.tolist())
    assert ours == pytest.approx(area_mm2)
    theirs = sum(_area(primitive) for primitive in _objects(text)[0].to_primitives("mm"))
    assert theirs == pytest.approx(area_mm2)


def _shoelace(corners: list[list[float]]) -> float:
    following = [*corners[1:], corners[0]]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, following, strict=True))) / 2


def _area(primitive: "gerbonara.graphic_primitives.GraphicPrimitive") -> float:
    name = type(primitive).__name__
    if name == "Circle":
        return float(math.pi * primitive.r**2)
    if name == "Rectangle":
        return float(primitive.w * primitive.h)
    if name == "Line":
        length = math.hypot(primitive.x2 - primitive.x1, primitive.y2 - primitive.y1)
        return float(math.pi * primitive.width**2 / 4 + primitive.width * length)
    return _shoelace([list(corner) for corner in primitive.outline])


def _objects(text: str) -> list["gerbonara.graphic_objects.GraphicObject"]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return list(gerbonara.GerberFile.from_string(text).objects)


def _ours(drawing: Drawing) -> list[Found]:
    columns = (drawing.kind, drawing.dark, drawing.x_nm, drawing.y_nm)
    return [(Kind(k), bool(d), int(x) / 1e6, int(y) / 1e6) for k, d, x, y in zip(*columns, strict=True)]


def _theirs(text: str) -> list[Found]:
    found = []
    for one in _objects(text):
        kind = KINDS[type(one).__name__]
        x, y = one.outline[0] if kind is Kind.REGION else (one.x, one.y) if kind is Kind.FLASH else one.p1
        mm = [float(one.unit.convert_to("mm", value)) for value in (x, y)]
        found.append((kind, bool(one.polarity_dark), mm[0], mm[1]))
    return found
