"""The film of a layer as the page draws it."""

from typing import NamedTuple

import shapely
from markupsafe import Markup

from pastecheck.report import LayerReport


class Picture(NamedTuple):
    """A drawing, and what is said of it."""

    svg: Markup
    is_still: bool
    said: str


def picture_of(layer: LayerReport, number: int) -> Picture:
    """The drawing of a layer that was kept to be drawn."""
    o = layer.drawn.openings
    low_x, low_y, high_x, high_y = layer.bounds_mm
    pieces = []
    polys = [
        shapely.transform(o.shapes.outline[s], lambda a, x=x, y=y: a + [x / 1e6, y / 1e6])
        for s, x, y in zip(o.shape, o.x_nm, o.y_nm)
    ]
    for p in polys:
        pieces.append("M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in p.exterior.coords) + "z")
    svg = f'<svg class="drawing" viewBox="{low_x - 2:.3f} {-high_y - 2:.3f} {high_x - low_x + 4:.3f} {high_y - low_y + 4:.3f}"><g transform="scale(1 -1)"><path class="openings" d="{"".join(pieces)}"/></g></svg>'
    return Picture(Markup(svg), False, "")
