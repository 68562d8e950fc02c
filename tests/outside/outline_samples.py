"""Points along outlines of random shapes, with the way outward: from closed forms, not from the product."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray
from tests.outside.shapes import CIRCLE, CORNERS, OBROUND, RECTANGLE, ROUNDED, Shape

Point = tuple[float, float]


class Samples(NamedTuple):
    """Points in order round an outline, inside to the left. Shape (m,) or (m, 2)."""

    at_mm: FloatArray
    outward: FloatArray
    length_mm: FloatArray
    """How much of the outline each point stands for."""


def samples_of(shape: Shape, step_mm: float) -> Samples:
    """Points at most a step apart."""
    pieces = list(_pieces(shape, step_mm))
    at, outward, length = (np.concatenate(column) for column in zip(*pieces, strict=True))
    turn = np.radians(shape.turn_deg)
    turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    return Samples(at @ turned + [shape.x_mm, shape.y_mm], outward @ turned, length)


def _pieces(shape: Shape, step_mm: float) -> Iterator[Samples]:
    if shape.kind in CORNERS:
        corners, radius = CORNERS[shape.kind](shape), 0.0
    else:
        least = min(shape.width_mm, shape.height_mm)
        radius = {RECTANGLE: 0.0, CIRCLE: shape.width_mm / 2, OBROUND: least / 2, ROUNDED: shape.arm_mm}[
            shape.kind
        ]
        u = max(shape.width_mm / 2 - radius, 0.0)
        v = 0.0 if shape.kind == CIRCLE else max(shape.height_mm / 2 - radius, 0.0)
        corners = [(-u, -v), (u, -v), (u, v), (-u, v)]
    for k, corner in enumerate(corners):
        after = corners[(k + 1) % len(corners)]
        if radius > 0:
            # all corners of what is rounded turn left by 90 degrees, the first from down to right
            yield _arc(corner, radius, -np.pi + k * np.pi / 2, step_mm)
        if after != corner:
            yield _side(corner, after, radius, step_mm)


def _side(begin: Point, end: Point, radius_mm: float, step_mm: float) -> Samples:
    way = np.subtract(end, begin)
    extent = float(np.hypot(*way))
    outward = np.array([way[1], -way[0]]) / extent
    count = int(np.ceil(extent / step_mm))
    share = (np.arange(count)[:, None] + 0.5) / count
    at = np.asarray(begin) + share * way + radius_mm * outward
    return Samples(at, np.tile(outward, (count, 1)), np.full(count, extent / count))


def _arc(centre: Point, radius_mm: float, begin_rad: float, step_mm: float) -> Samples:
    extent = radius_mm * np.pi / 2
    count = int(np.ceil(extent / step_mm))
    angle = begin_rad + (np.arange(count) + 0.5) / count * np.pi / 2
    outward = np.column_stack([np.cos(angle), np.sin(angle)])
    return Samples(np.asarray(centre) + radius_mm * outward, outward, np.full(count, extent / count))
