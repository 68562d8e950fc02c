"""Layers written as Gerber statements, and read, cut and measured in one step."""

from pastecheck import gerber
from pastecheck.drawing import Drawing, FloatArray
from pastecheck.lands import Board, lands_of, profile_of, unsure_below
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import Openings, cut_from
from pastecheck.units import NM_PER_MM

FOIL = Foil("film", "polyester", 0.1)
SOURCE = "layer.gbr"


def mm_layer(*drawn: str) -> str:
    """A layer in millimetres, format 4.6; what is drawn begins on line 3."""
    return "\n".join(["%FSLAX46Y46*%", "%MOMM*%", *drawn, "M02*", ""])


def cut(*drawn: str) -> Openings:
    """The openings of a layer in millimetres."""
    return cut_text(mm_layer(*drawn))


def cut_text(text: str) -> Openings:
    return cut_from(read_text(text))


def read_text(text: str) -> Drawing:
    return gerber.read(text.encode(), SOURCE)


def board(openings: Openings, land: str = "", mask: str = "", outline: str = "") -> Board:
    """What is known of the board below openings, from drawing commands of its layers in millimetres."""
    copper, opened, edge = (read_text(mm_layer(text)) if text else None for text in (land, mask, outline))
    return Board(
        lands=None if copper is None else lands_of(copper, opened),
        profile=None if edge is None else profile_of(edge),
        is_unsure=None if opened or not copper else unsure_below(copper, openings),
    )


def measured(text: str) -> Measurements:
    return Measurements(cut_text(text), FOIL)


def codes_of(openings: Openings) -> list[str]:
    """Codes of what is said about what was drawn."""
    return [said.code for said in openings.diagnostics]


def areas_mm2(openings: Openings) -> FloatArray:
    return openings.shapes.area_mm2[openings.shape]


def places_um(openings: Openings) -> list[tuple[int, int]]:
    """Centroids in whole micrometres, in the order of the table."""
    x_mm = openings.x_nm / NM_PER_MM + openings.shapes.centroid_mm[openings.shape, 0]
    y_mm = openings.y_nm / NM_PER_MM + openings.shapes.centroid_mm[openings.shape, 1]
    return [(round(x * 1000), round(y * 1000)) for x, y in zip(x_mm.tolist(), y_mm.tolist(), strict=True)]
