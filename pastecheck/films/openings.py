"""Openings and their components, told so that a person finds them."""

from pastecheck.drawing import IntArray
from pastecheck.films.outcome import Opening
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct
from pastecheck.report import is_round
from pastecheck.reporters._told import natural


def told(m: Measurements, row: int) -> Opening:
    """One opening."""
    some = slice(row, row + 1)
    looks_round = is_round(m.width_mm[some], m.length_mm[some], m.area_mm2[some])
    x_mm, y_mm = m.centroid_mm[row].tolist()
    return Opening(
        row=row + 1,
        label=m.openings.labels[int(m.openings.label[row])],
        width_mm=float(m.width_mm[row]),
        length_mm=float(m.length_mm[row]),
        is_round=bool(looks_round[0]),
        x_mm=x_mm,
        y_mm=y_mm,
        line=int(m.openings.line[row]),
    )


def components(m: Measurements, rows: IntArray) -> tuple[str, ...]:
    """The components of some openings, in natural order."""
    names = {m.openings.labels[row] for row in distinct(m.openings.label[rows]).tolist()}
    return tuple(sorted(names - {""}, key=natural))
