"""Layers as gerbonara 1.5.0 (Python, Apache-2.0) reads them: its objects, and a plain union of them."""

import warnings
from typing import Any

import shapely
from gerbonara import MM, GerberFile
from gerbonara import graphic_primitives as made
from shapely.affinity import rotate

from tests.outside.plane import Point, Shape, arc_points, disc, filled, image_of_objects, stroked
from tests.outside.random_numbers import Feature

TRUSTED = frozenset(
    {
        Feature.INCHES,
        Feature.FEW_DECIMALS,
        Feature.TRAILING,
        Feature.HOLE,
        Feature.ZERO_SIZE,
        Feature.MACRO,
        Feature.MACRO_CUT,
        Feature.MACRO_VECTOR,
        Feature.MACRO_MANY,
        Feature.MACRO_MINUS,
        Feature.MACRO_ARITHMETIC,
        Feature.ARC,
        Feature.FULL_CIRCLE,
        Feature.QUADRANT,
        Feature.REGION_ARC,
        Feature.CUT_IN,
        Feature.CLEAR,
        Feature.MODAL_COORDINATE,
        Feature.COMMENT,
        Feature.LEGACY,
        Feature.JOINED,
        Feature.STYLE,
    }
)


def image_of(text: str) -> Shape:
    """What a layer leaves open, in mm."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it remarks on whatever is deprecated
        drawn = GerberFile.from_string(text).objects
    return image_of_objects((one.polarity_dark, _object(one)) for one in drawn)


def _object(drawn: Any) -> Shape:  # noqa: ANN401 -- the library has no types
    """One object; primitives of a macro that are not exposed are cut from it, not from what lies below."""
    pieces = drawn.to_primitives(MM)
    return image_of_objects((piece.polarity_dark == drawn.polarity_dark, _outline(piece)) for piece in pieces)


def _outline(piece: Any) -> Shape:  # noqa: ANN401 -- as above
    match piece:
        case made.Circle():
            return disc(piece.x, piece.y, piece.r)
        case made.Rectangle():
            x, y = piece.x, piece.y
            box = shapely.box(x - piece.w / 2, y - piece.h / 2, x + piece.w / 2, y + piece.h / 2)
            turned: Shape = rotate(box, piece.rotation, origin=(x, y), use_radians=True)
            return turned
        case made.Line():
            return stroked([(piece.x1, piece.y1), (piece.x2, piece.y2)], piece.width)
        case made.Arc():
            return stroked(_arc((piece.x1, piece.y1), (piece.x2, piece.y2), piece), piece.width)
        case made.ArcPoly():
            return filled(_ring(piece))
    raise TypeError(piece)


def _arc(begin: Point, end: Point, piece: Any) -> list[Point]:  # noqa: ANN401 -- as above
    return arc_points(begin, end, (piece.cx, piece.cy), -1 if piece.clockwise else 1)


def _ring(piece: Any) -> list[Point]:  # noqa: ANN401 -- as above
    points: list[Point] = []
    for begin, end, (clockwise, centre) in piece.segments:
        curved = clockwise is not None
        points += arc_points(begin, end, centre, -1 if clockwise else 1)[:-1] if curved else [begin]
    return points
