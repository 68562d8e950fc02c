"""Layers as pygerber 3.0.0a4 (Python, MIT) reads them, with its own virtual machine for shapely."""

import warnings
from functools import cache

import shapely
from pygerber.gerber.compiler import compile as compiled
from pygerber.gerber.parser.pyparsing.parser import Parser
from pygerber.vm.shapely.vm import ShapelyVirtualMachine
from shapely.affinity import translate

from tests.outside.plane import CHORDS, Point, Shape, filled
from tests.outside.random_numbers import Feature

TRUSTED = frozenset(
    {
        Feature.FEW_DECIMALS,
        Feature.HOLE,
        Feature.MACRO,
        Feature.MACRO_THERMAL,
        Feature.MACRO_VECTOR,
        Feature.MACRO_LOWER_LEFT,
        Feature.OFF_CENTRE,
        Feature.MACRO_CUT,
        Feature.ARC,
        Feature.FULL_CIRCLE,
        Feature.REGION_ARC,
        Feature.CUT_IN,
        Feature.CLEAR,
        Feature.ROTATE,
        Feature.SCALE,
        Feature.REPEAT,
        Feature.BLOCK,
        Feature.TURNED_BLOCK,
        Feature.MODAL_COORDINATE,
        Feature.MODAL_OPERATION,
        Feature.COMMENT,
        Feature.LEGACY,
        Feature.JOINED,
        Feature.SHORT_CODE,
    }
)
TRUSTED_MIRRORED = TRUSTED - {Feature.ROTATE} | {Feature.MIRROR}
"""It mirrors what is turned already, where the specification turns what is mirrored."""


class _Machine(ShapelyVirtualMachine):  # type: ignore[misc]  # it has types, but says so nowhere
    """Mends outlines that touch themselves. The library has buffer(0) do it, which drops parts of them."""

    def _add_polygon(self, points: list[Point], *, is_negative: bool) -> None:
        layer = self.layer
        shape = translate(filled(points), -layer.origin.x, -layer.origin.y)
        if is_negative:
            layer.shape[:] = [shapely.difference(one, shape) for one in layer.shape]
        else:
            layer.shape.append(shape)


@cache
def _parser() -> Parser:
    return Parser()


def image_of(text: str) -> Shape:
    """What a layer in millimetres leaves open."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it calls what newer versions of its own parser deprecate
        syntax = _parser().parse(text)
    image: Shape = _Machine(lambda _length: CHORDS).run(compiled(syntax)).shape
    return image
