"""Layers as pygerber 3.0.0a4 (Python, MIT) reads them, with its own virtual machine for shapely."""

import warnings
from functools import cache

import shapely
from pygerber.gerber.compiler import compile as compiled
from pygerber.gerber.parser.pyparsing.parser import Parser
from pygerber.vm.shapely.vm import ShapelyVirtualMachine
from pygerber.vm.vm import VirtualMachine

from tests.outside.plane import CHORDS, Shape, areas_of
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


@cache
def _parser() -> Parser:
    return Parser()


def image_of(text: str) -> Shape:
    """What a layer in millimetres leaves open."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it calls what newer versions of its own parser deprecate
        syntax = _parser().parse(text)
    machine = ShapelyVirtualMachine(lambda _length: CHORDS)
    VirtualMachine.run(machine, compiled(syntax))
    # its own last step, the union, fails on contours that touch themselves: they are mended before
    shapes = machine.get_layer(machine.MAIN_LAYER_ID).shape
    return shapely.union_all([areas_of(shapely.make_valid(shape)) for shape in shapes])
