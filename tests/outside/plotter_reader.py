"""
Layers as gerber-parser 4.2.7 and gerber-plotter 4.2.8 (JavaScript, MIT) read them, and a plain union of that.

They run where node is there and the variable PASTECHECK_NODE_MODULES names a folder with both packages:

    npm install --prefix /some/folder gerber-parser@4.2.7 gerber-plotter@4.2.8
    export PASTECHECK_NODE_MODULES=/some/folder/node_modules
"""

import json
import os
import shutil
import subprocess
from functools import cache, partial
from itertools import groupby
from pathlib import Path
from typing import Any

import shapely
from shapely.affinity import scale, translate

from tests.outside.plane import (
    Object,
    Point,
    Shape,
    arc_points,
    areas_of,
    disc,
    filled,
    grown,
    image_of_objects,
    stroked,
)
from tests.outside.random_numbers import EVERYTHING, Feature

UNTRUSTED = frozenset(
    {
        Feature.MIRROR,
        Feature.ROTATE,
        Feature.SCALE,
        Feature.TURNED_PEN,
        Feature.BLOCK,
        Feature.TURNED_BLOCK,
        Feature.CLEAR_BLOCK,
        Feature.QUADRANT,
        Feature.SHARED_BLOCK,
        Feature.CONVEX_PEN,
        Feature.OFF_CENTRE,
        Feature.MACRO_MANY,
        Feature.MACRO_MINUS,
        Feature.MACRO_UNDEFINED,
    }
)
TRUSTED = EVERYTHING - UNTRUSTED

MODULES = "PASTECHECK_NODE_MODULES"
SCRIPT = Path(__file__).with_name("plotter_process.js")

Plotted = dict[str, Any]
"""An object of the plotter's API, as JSON."""


def why_not() -> str:
    """Why it cannot be asked here; empty if it can."""
    if not os.environ.get(MODULES):
        return f"{MODULES} is not set"
    return "" if shutil.which("node") else "node is not installed"


@cache
def _process() -> "subprocess.Popen[str]":
    """It ends with its standard input, that is with us."""
    return subprocess.Popen(
        ["node", str(SCRIPT), os.environ[MODULES]],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def image_of(text: str) -> Shape:
    """What a layer leaves open, in mm."""
    process = _process()
    assert process.stdin
    assert process.stdout
    process.stdin.write(json.dumps(text) + "\n")
    process.stdin.flush()
    answer = json.loads(process.stdout.readline())
    assert "error" not in answer, answer["error"]
    unit_mm = 25.4 if answer["units"] == "in" else 1.0
    image = image_of_objects(_objects(answer["objects"]))
    return scale(image, unit_mm, unit_mm, origin=(0, 0))


def _objects(plotted: list[Plotted]) -> list[Object]:
    """Dark and clear objects in order, repeated where that is asked for; in the unit of the file."""
    shapes: dict[str, Shape] = {}
    dark = True
    offsets: list[Point] = []
    objects: list[Object] = []
    repeated: list[Object] = []
    for one in plotted:
        match one["type"]:
            case "shape":
                shapes[one["tool"]] = _pad(one["shape"])
            case "polarity":
                dark = one["polarity"] == "dark"
            case "repeat":
                objects += _copies(repeated, offsets)
                repeated, offsets = [], one["offsets"]
            case "pad":
                repeated.append((dark, translate(shapes[one["tool"]], one["x"], one["y"])))
            case "fill":
                repeated += [(dark, filled(points)) for points in _paths(one["path"])]
            case "stroke":
                repeated += [(dark, stroked(points, one["width"])) for points in _paths(one["path"])]
    return objects + _copies(repeated, offsets)


def _copies(objects: list[Object], offsets: list[Point]) -> list[Object]:
    return [(dark, translate(shape, *offset)) for offset in offsets or [(0, 0)] for dark, shape in objects]


def _pad(pieces: list[Plotted]) -> Shape:
    """A tool: what is clear cuts what stands before it."""
    dark = True
    objects: list[Object] = []
    for piece in pieces:
        if piece["type"] == "layer":
            dark = piece["polarity"] == "dark"
        else:
            objects.append((dark, _piece(piece)))
    return image_of_objects(objects)


def _piece(piece: Plotted) -> Shape:
    match piece["type"]:
        case "circle":
            return disc(piece["cx"], piece["cy"], piece["r"])
        case "rect":
            return _rounded(piece["cx"], piece["cy"], piece["width"], piece["height"], piece["r"])
        case "poly":
            return filled([(x, y) for x, y in piece["points"]])
        case "ring":
            inner, outer = (piece["r"] + side * piece["width"] / 2 for side in (-1, 1))
            at = partial(disc, piece["cx"], piece["cy"])
            return shapely.difference(at(outer), at(inner))
        case "clip":
            shapes = shapely.union_all([_piece(one) for one in piece["shape"]])
            return areas_of(shapely.intersection(shapes, _piece(piece["clip"])))
    raise TypeError(piece["type"])


def _rounded(x: float, y: float, width: float, height: float, radius: float) -> Shape:
    core = shapely.box(
        x - width / 2 + radius, y - height / 2 + radius, x + width / 2 - radius, y + height / 2 - radius
    )
    return grown(core, radius) if radius else core


def _paths(segments: list[Plotted]) -> list[list[Point]]:
    """Points along each run of segments of which one begins where the last one ended."""
    numbered = []
    run, end = 0, None
    for segment in segments:
        run += segment["start"][:2] != end
        end = segment["end"][:2]
        numbered.append((run, segment))
    runs = (list(one) for _, one in groupby(numbered, key=lambda pair: pair[0]))
    return [_joined([_points(segment) for _, segment in one]) for one in runs]


def _joined(pieces: list[list[Point]]) -> list[Point]:
    return [*pieces[0], *(point for piece in pieces[1:] for point in piece[1:])]


def _points(segment: Plotted) -> list[Point]:
    begin, end = (segment["start"][0], segment["start"][1]), (segment["end"][0], segment["end"][1])
    if segment["type"] == "line":
        return [begin, end]
    centre = segment["center"][0], segment["center"][1]
    return arc_points(begin, end, centre, 1 if segment["dir"] == "ccw" else -1)
