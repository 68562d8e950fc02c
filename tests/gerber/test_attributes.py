"""Attributes of objects, apertures and regions are known of everything that is drawn."""

import pytest

from pastecheck.drawing import Drawing
from pastecheck.errors import GerberUnsupportedError
from pastecheck.gerber.attributes import component_of
from pastecheck.limits import Limits
from tests.gerber.layers import read

DISC = ("%ADD10C,1*%", "D10*")
FLASH = "X0Y0D03*"
CONTOUR = ("G36*", "X0Y0D02*", "X9Y0D01*", "X9Y9D01*", "X0Y0D01*", "G37*")


def of_objects(drawing: Drawing) -> list[str]:
    """What is said of each object: `.C,U1; .N,GND`."""
    return [_said(drawing, drawing.object_sets, row) for row in drawing.of_object.tolist()]


def of_apertures(drawing: Drawing) -> list[str]:
    """What is said of the aperture of each object, or of the region."""
    return [_said(drawing, drawing.aperture_sets, row) for row in drawing.of_aperture.tolist()]


def _said(drawing: Drawing, sets: tuple[tuple[tuple[str, str, tuple[str, ...]], ...], ...], row: int) -> str:
    assert len(drawing) == len(drawing.of_object) == len(drawing.of_aperture)
    return "; ".join(",".join([name, *values]) for _, name, values in sets[row])


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (("%TO.C,U1*%", "%TO.P,U1,3*%", "%TO.N,GND*%"), ".C,U1; .N,GND; .P,U1,3"),
        (("%TO.P,U1,3,CLK*%", "%TO.N,A,B*%"), ".N,A,B; .P,U1,3,CLK"),
        (("%TO.C,R1*%", "%TO.CMfr,Maker*%", "%TO.CVal,10k*%", "%TOMine,1,2*%"),
         ".C,R1; .CMfr,Maker; .CVal,10k; Mine,1,2"),
        (("%TO.N,A*%", "%TO.N,B*%"), ".N,B"),  # the last of a name
        (("%TO.N,A*%", "%TO.C,U1*%", "%TD.N*%"), ".C,U1"),
        (("%TO.N,A*%", "%TO.C,U1*%", "%TD*%"), ""),
        (("%TO.N,A*%", "%TD.Other*%"), ".N,A"),
        (("%TO.N,A*%", "%TA.AperFunction,Material*%", "%TD.AperFunction*%"), ".N,A"),
        (("G04 #@! TO.N,A*", "G04 #@! TO.C,U1*"), ".C,U1; .N,A"),
        (("%TO.N,A*%", "G04 a comment*", "%LPD*%", "%TO.C,U1*%"), ".C,U1; .N,A"),
        (("%TOMine*%",), "Mine"),  # it need have no value
        (("%TO*%", "%TO,U1*%"), ""),  # nor may it lack a name
        (("%TO.N,\\u0041\\u002CB*%",), ".N,A,B"),
        (("%to.n,A*%",), ".n,A"),
    ],
)  # fmt: skip
def test_what_is_said_before_a_flash_is_said_of_it(lines: tuple[str, ...], said: str) -> None:
    assert of_objects(read(*DISC, *lines, FLASH)) == [said]


def test_objects_have_what_is_in_force_where_they_are_drawn() -> None:
    lines = ("%TO.C,U1*%", "%TO.N,A*%", FLASH, "%TO.N,B*%", FLASH, FLASH, "%TD.C*%", FLASH, "%TD*%", FLASH)
    assert of_objects(read(*DISC, *lines)) == [".C,U1; .N,A", *[".C,U1; .N,B"] * 2, ".N,B", ""]


def test_strokes_and_regions_have_attributes_of_objects_too() -> None:
    lines = ("%TO.N,A*%", "X0Y0D02*", "X9Y9D01*", "%TO.N,B*%", *CONTOUR)
    assert of_objects(read(*DISC, *lines)) == [".N,A", ".N,B"]


def test_equal_sets_are_one_whichever_way_they_came_about() -> None:
    lines = ("%TO.N,A*%", "%TO.C,U1*%", FLASH, "%TD*%", "%TO.C,U1*%", "%TO.N,A*%", FLASH)
    drawing = read(*DISC, *lines)
    assert len(drawing.object_sets) == 2
    assert len(set(drawing.of_object.tolist())) == 1


def test_flashes_and_strokes_have_the_attributes_that_were_in_force_when_their_aperture_was_defined() -> None:
    # as 5.8 of the specification of 2023.08 has it (worked_examples, gerber-attr-58)
    first = ("%ADD13C,1*%", "%TAIAmATA*%", "D13*", FLASH, "%ADD11C,1*%", "%TDIAmATA*%", "%ADD12C,1*%")
    drawn = ("D11*", FLASH, "D12*", "X0Y0D02*", "X9Y9D01*")
    assert of_apertures(read(*first, *drawn)) == ["", "IAmATA", ""]


def test_a_region_has_the_attributes_of_apertures_that_are_in_force() -> None:
    lines = ("%TA.AperFunction,Material*%", "%TAMine,1*%", *CONTOUR, "%TDMine*%", *CONTOUR, "%TD*%", *CONTOUR)
    assert of_apertures(read(*lines)) == [".AperFunction,Material; Mine,1", ".AperFunction,Material", ""]


def test_copies_have_the_attributes_of_their_originals() -> None:
    lines = ("%TAMine*%", *DISC, "%TD*%", "%TO.N,A*%", "%SRX2Y1I5J0*%", FLASH, "%TO.N,B*%", FLASH, "%SR*%")
    drawing = read(*lines)
    assert of_objects(drawing) == [".N,A", ".N,B"] * 2
    assert of_apertures(drawing) == ["Mine"] * 4


def test_attributes_of_a_flashed_block_are_laid_over_those_of_its_objects_by_name() -> None:
    block = ("%TO.C,U1*%", "%TO.P,U1,1*%", "%TO.N,A*%", "%ABD12*%", FLASH, "%TD*%", FLASH, "%AB*%", "D12*")
    flashed = (FLASH, "%TO.N,B*%", FLASH, "%TO.P,U2,7*%", FLASH)
    assert of_objects(read(*DISC, "%TAMine*%", *block, *flashed)) == [
        *(".C,U1; .N,A; .P,U1,1", ""),
        *(".C,U1; .N,B; .P,U1,1", ".N,B"),
        *(".N,B; .P,U2,7", ".N,B; .P,U2,7"),  # another component: neither name of that in the block counts
    ]


def test_every_label_is_the_component_that_the_attributes_name() -> None:
    lines = ("%TO.P,U1,1*%", FLASH, "%TO.C,U2*%", FLASH, "%TO.C*%", FLASH, "%TO.C, *%", FLASH, "%TD*%", FLASH)
    drawing = read(*DISC, *lines)
    labels = [drawing.labels[row] for row in drawing.label.tolist()]
    assert labels == ["U1", "U2", "U1", "U1", ""]
    assert labels == [component_of(drawing.object_sets[row]) for row in drawing.of_object.tolist()]


def test_more_attributes_in_force_than_the_limit_are_refused_before_they_take_time() -> None:
    # three are in force at the first flash, four at the second
    lines = (*DISC, "%TOA*%", "%TOB*%", "%TOC*%", FLASH, "%TOD*%", FLASH)
    read(*lines, limits=Limits(attributes=7))
    with pytest.raises(GerberUnsupportedError, match="at most 6 are read") as refused:
        read(*lines, limits=Limits(attributes=6))
    assert "--limit attributes=7" in refused.value.hint
