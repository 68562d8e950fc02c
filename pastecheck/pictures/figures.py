"""Figures beside the lines of a picture: what each measures, in millimetres."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from pastecheck.pictures.lettering import path_of
from pastecheck.pictures.measured import Lines

MOST_FIGURES: Final = 4_000
"""So many lines have their figure beside them."""
_HIGHEST_MM: Final = 0.5
_IN_THE_GAP: Final = 0.6
"""Figures stand in the gap they tell of, turned along it: so high, as a share of its width."""


def figures(lines: Lines, side: str, shown: Sequence[str], *, is_mirrored: bool) -> str:
    """
    The length of each line, of the shortest where there are very many.

    Each stands in the gap that it tells of, beside the line, to be read from below or from the right.

    Args:
        lines: In coordinates of the layer.
        side: Told in the ids of what is drawn many times, so that both sides of a board may stand in a page.
        shown: Of each line the attributes that say when it is.
        is_mirrored: Whether the picture is.
    """
    length_mm = lines.length_mm
    rows = np.argsort(length_mm, kind="stable")[:MOST_FIGURES]
    rows = rows[length_mm[rows] > 0]
    if not len(rows):
        return ""
    texts = [f"{length:.3f}" for length in length_mm[rows].tolist()]
    flip = np.array([-1.0 if is_mirrored else 1.0, -1.0])
    begin, end = lines.begin_mm[rows] * flip, lines.end_mm[rows] * flip
    scale = np.minimum(_IN_THE_GAP * length_mm[rows], _HIGHEST_MM) / 6
    way = end - begin
    turn_deg = np.round(np.rad2deg(np.arctan2(way[:, 1], way[:, 0])), 2) % 180 - 90
    names = [
        f"{side}-{'in-' if is_inside else ''}{text}"
        for is_inside, text in zip(lines.is_inside[rows].tolist(), texts, strict=True)
    ]
    drawn = "".join(_figure(name, text) for name, text in dict(zip(names, texts, strict=True)).items())
    elements = map(
        '<use{}{} href="#{}" transform="translate({:.3f} {:.3f})rotate({:g})scale({:.4f})"/>'.format,
        np.where(lines.is_inside[rows], ' class="inside"', "").tolist(),
        [shown[row] for row in rows.tolist()],
        names,
        *((begin + end) / 2).T.tolist(),
        turn_deg.tolist(),
        scale.tolist(),
    )
    return f'<g class="figures"><defs>{drawn}</defs>{"".join(elements)}</g>'


def _figure(name: str, text: str) -> str:
    """On film with a rim that keeps it legible where it lies on the edge of a mark."""
    rims = [""] if "-in-" in name else [' class="figure-rim"', ""]
    paths = "".join(f'<path{rim} d="{path_of(text)}"/>' for rim in rims)
    return f'<g id="{name}" transform="translate(3 3)">{paths}</g>'
