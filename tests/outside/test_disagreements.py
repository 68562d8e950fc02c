"""Where a library and we disagree, the specification decides: each case has its area worked out by hand."""

from collections.abc import Callable

import pytest
import shapely

from tests.outside import gerbonara_reader, plain_interpreter, plotter_reader, pygerber_reader
from tests.outside.agreement import cut_of
from tests.outside.disagreements import DISAGREEMENTS, GERBONARA, PLOTTER, PYGERBER, Disagreement
from tests.outside.plane import Shape

READERS: dict[str, Callable[[str], Shape]] = {
    GERBONARA: gerbonara_reader.image_of,
    PYGERBER: pygerber_reader.image_of,
    PLOTTER: plotter_reader.image_of,
}
NEARLY = 1e-4
"""Part of the area: arcs are flattened to chords."""

each_case = pytest.mark.parametrize("case", DISAGREEMENTS, ids=lambda case: case.what)


@each_case
def test_the_area_is_the_one_worked_out_by_hand(case: Disagreement) -> None:
    assert cut_of(case.text).area_mm2 == pytest.approx(case.area_mm2, rel=NEARLY)


@each_case
def test_the_plain_interpreter_finds_that_area_too(case: Disagreement) -> None:
    assert shapely.area(plain_interpreter.image_of(case.text)) == pytest.approx(case.area_mm2, rel=NEARLY)


@pytest.mark.parametrize("library", [GERBONARA, PYGERBER, PLOTTER])
@each_case
def test_a_library_finds_that_area_unless_it_is_known_to_be_wrong(case: Disagreement, library: str) -> None:
    # So this list, and what each library is asked for, is looked at again when one of them is mended.
    if library == PLOTTER and plotter_reader.why_not():
        pytest.skip(plotter_reader.why_not())
    try:
        area = float(shapely.area(READERS[library](case.text)))
    except Exception:  # noqa: BLE001 -- whatever it raises, it has no answer
        area = float("nan")
    assert (area == pytest.approx(case.area_mm2, rel=NEARLY)) == (library not in case.wrong), area
