"""Whether the openings of a layer are what another reader makes of it."""

from dataclasses import dataclass

import shapely
from shapely.affinity import translate

from pastecheck import gerber
from pastecheck.errors import NoOpeningsError
from pastecheck.openings import cut_from
from pastecheck.units import NM_PER_MM
from tests.outside.plane import NOTHING, Shape, areas_of

SAME_AREA = 2e-4
"""Part of the area by which two readers may differ: both flatten arcs to chords."""

HAIR_MM = 1e-3
"""What changes in number when it grows or shrinks by so much is decided by rounding, not by a reader."""


@dataclass(frozen=True)
class Cut:
    """What we make of a layer: the openings, all of them, in one geometry, and their number and area."""

    image: Shape
    number: int
    area_mm2: float


def cut_of(text: str) -> Cut:
    """Everything that a layer draws, slivers and line work too."""
    try:
        openings = cut_from(gerber.read(text.encode(), "layer.gbr"), everything=True)
    except NoOpeningsError:
        return Cut(NOTHING, 0, 0.0)
    outlines = openings.shapes.outline[openings.shape].tolist()
    x_mm, y_mm = (openings.x_nm / NM_PER_MM).tolist(), (openings.y_nm / NM_PER_MM).tolist()
    placed = [translate(*one) for one in zip(outlines, x_mm, y_mm, strict=True)]
    area = float(openings.shapes.area_mm2[openings.shape].sum())
    return Cut(shapely.union_all(placed), len(openings), area)


def number_of_parts(image: Shape) -> int | None:
    """How many parts an image has, or None where a hair more or less would change that."""
    parts = areas_of(image)
    numbers = {len(shapely.get_parts(shapely.buffer(parts, by_mm))) for by_mm in (-HAIR_MM, 0.0, HAIR_MM)}
    return numbers.pop() if len(numbers) == 1 else None


def differences(text: str, image: Shape) -> list[str]:
    """What is different between our openings and another reader's image: nothing, if they agree."""
    ours = cut_of(text)
    area = shapely.area(image)
    elsewhere = shapely.area(shapely.symmetric_difference(ours.image, areas_of(image)))
    number = number_of_parts(image)
    said = []
    if abs(ours.area_mm2 - area) > SAME_AREA * area:
        said.append(f"area {ours.area_mm2:.6f} mm2, not {area:.6f} mm2")
    if elsewhere > 2 * SAME_AREA * area:
        said.append(f"{elsewhere:.6f} mm2 are open in only one of the two")
    if number is not None and ours.number != number:
        said.append(f"{ours.number} openings, not {number}")
    return said
