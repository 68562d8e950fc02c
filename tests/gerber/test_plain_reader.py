"""The columnar reader and a plain one, statement by statement, understand the same texts alike."""

import numpy as np
from hypothesis import given

from pastecheck import gerber
from pastecheck.drawing import AttributeSet, Drawing, Kind
from tests.gerber.plain_reader import ORIGIN, Attributes, Edge, Thing, things_in
from tests.gerber.texts import texts


@given(texts())
def test_columns_hold_what_a_plain_reader_finds(text: str) -> None:
    drawing = gerber.read(text.encode(), "made.gbr")
    assert things_of(drawing) == things_in(text)


def things_of(drawing: Drawing) -> list[Thing]:
    """A drawing, thing by thing."""
    return [_thing(drawing, row) for row in range(len(drawing))]


def _thing(drawing: Drawing, row: int) -> Thing:
    kind, what = Kind(drawing.kind[row]), int(drawing.what[row])
    aperture = 0
    edges: tuple[Edge, ...] = ()
    if kind is Kind.FLASH:
        aperture = drawing.apertures[what].number
    elif kind is Kind.STROKE:
        strokes = drawing.strokes
        aperture = drawing.apertures[strokes.aperture[what]].number
        edges = (
            Edge(
                ORIGIN, _point(strokes.end_nm[what]), _point(strokes.centre_nm[what]), int(strokes.turn[what])
            ),
        )
    else:
        edges = _edges_of_contour(drawing, what)
    return Thing(
        kind.name.lower(),
        aperture,
        bool(drawing.dark[row]),
        (int(drawing.x_nm[row]), int(drawing.y_nm[row])),
        drawing.labels[drawing.label[row]],
        _plain(drawing.object_sets[drawing.of_object[row]]),
        _plain(drawing.aperture_sets[drawing.of_aperture[row]]),
        int(drawing.line[row]),
        edges,
    )


def _plain(attributes: AttributeSet) -> Attributes:
    return tuple((one.name, *one.values) for one in attributes)


def _edges_of_contour(drawing: Drawing, contour: int) -> tuple[Edge, ...]:
    begin, end = drawing.contours.offset[contour : contour + 2]
    rows = slice(int(begin), int(end))
    point = drawing.contours.point_nm[rows]
    following = np.roll(point, -1, axis=0)
    columns = (point, following, drawing.contours.centre_nm[rows], drawing.contours.turn[rows])
    return tuple(
        Edge(_point(a), _point(b), _point(c), int(turn)) for a, b, c, turn in zip(*columns, strict=True)
    )


def _point(row: np.ndarray[tuple[int], np.dtype[np.int64]]) -> tuple[int, int]:
    return int(row[0]), int(row[1])
