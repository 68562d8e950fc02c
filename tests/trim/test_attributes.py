"""A layer that is written says of every opening what its source said: component, pin, net and more."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import gerber
from pastecheck.drawing import Attribute, AttributeSet
from pastecheck.gerber.attributes import component_of
from pastecheck.openings import Openings, cut_from
from pastecheck.trim.writing import Header, written
from tests.drawn import cut

HEADER = Header("Paste,Top", ())


def wedge(x_mm: int) -> tuple[str, ...]:
    """No rectangle: it is written as a region."""
    left, right = f"X{x_mm}000000", f"X{x_mm + 1}000000"
    corners = (f"{right}Y0D01*", f"{right}Y500000D01*", f"{left}Y1000000D01*", f"{left}Y0D01*")
    return ("G36*", f"{left}Y0D02*", *corners, "G37*")


def body(*drawn: str) -> list[str]:
    """What is written behind the format and the unit, for layers in millimetres."""
    lines = written(cut(*drawn), HEADER).decode().splitlines()
    return lines[lines.index("%MOMM*%") + 1 :]


def test_attributes_of_apertures_stand_before_their_definitions_and_end_behind_the_last() -> None:
    drawn = ("%TA.AperFunction,Material*%", "%ADD10R,0.3X1.5*%", "%TD*%", "%ADD11C,1*%", "D10*", "X0Y0D03*",
             "D11*", "X5000000Y0D03*")  # fmt: skip
    assert body(*drawn) == [
        "%ADD10C,1.0*%",
        "%TA.AperFunction,Material*%",
        "%ADD11R,0.3X1.5*%",
        "%TD*%",
        "G75*",
        "G01*",
        "%LPD*%",
        "D10*",
        "X5000000Y0D03*",
        "D11*",
        "X0Y0D03*",
        "M02*",
    ]


def test_apertures_that_differ_in_their_attributes_alone_are_two() -> None:
    drawn = ("%TAMine,1*%", "%ADD10C,1*%", "%TAMine,2*%", "%ADD11C,1*%", "D10*", "X0Y0D03*", "X9000000Y0D03*",
             "D11*", "X5000000Y0D03*")  # fmt: skip
    lines = body(*drawn)
    assert lines[:5] == ["%TAMine,1*%", "%ADD10C,1.0*%", "%TAMine,2*%", "%ADD11C,1.0*%", "%TD*%"]
    assert lines[8:-1] == ["D10*", "X0Y0D03*", "X9000000Y0D03*", "D11*", "X5000000Y0D03*"]


def test_attributes_of_objects_stand_where_they_change_and_end_behind_the_last() -> None:
    drawn = ("%ADD10C,1*%", "D10*", "%TO.C,U1*%", "%TO.P,U1,1*%", "%TO.N,GND*%", "X0Y0D03*", "%TO.P,U1,2*%",
             "X2000000Y0D03*", "%TD.N*%", "%TO.P,U1,3*%", "X4000000Y0D03*")  # fmt: skip
    assert body(*drawn)[4:] == [
        "D10*",
        "%TO.C,U1*%",
        "%TO.N,GND*%",
        "%TO.P,U1,1*%",
        "X0Y0D03*",
        "%TO.P,U1,2*%",
        "X2000000Y0D03*",
        "%TD.N*%",
        "%TO.P,U1,3*%",
        "X4000000Y0D03*",
        "%TD*%",
        "M02*",
    ]


def test_regions_have_attributes_of_both_kinds() -> None:
    lines = body("%TA.AperFunction,Material*%", "%TO.N,A*%", *wedge(0), "%TD*%", "%ADD10C,1*%",
                 "D10*", "X5000000Y0D03*")  # fmt: skip
    begin, end = lines.index("G36*"), lines.index("G37*")
    assert lines[begin - 2 : begin] == ["%TA.AperFunction,Material*%", "%TO.N,A*%"]
    assert lines[end + 1 :] == ["%TD*%", "D10*", "X5000000Y0D03*", "M02*"]


def test_what_ends_one_attribute_of_a_name_leaves_the_other_kind_of_that_name() -> None:
    lines = body("%TAMine,1*%", "%TOMine,2*%", *wedge(0), "%TD*%", "%TAMine,1*%", *wedge(8))
    end = lines.index("G37*")
    assert lines[end + 1 : end + 3] == ["%TDMine*%", "%TAMine,1*%"]


@pytest.mark.parametrize(
    "said",
    [
        r"%TO.C,R\u002A1\u0025\u00E9\u002C*%",
        r"%TOA\u002AB,1*%",
        r"%TOA,\u0020b \u0020*%",
        r"%TOA, ,*%",
        "%TOA*%",
        r"%TOA,\\uD800,\U0001F600*%",
        "%TOA,%FSLAX46Y46*%",
        "G04 #@! TOA,b%*",
        "%TO.C U1*%",
    ],
)
def test_whatever_an_attribute_holds_it_is_read_again_as_it_was(said: str) -> None:
    openings = cut("%ADD10C,1*%", "D10*", said, "X0Y0D03*")
    assert len(openings.object_sets) == 2
    hold(openings)


def hold(openings: Openings) -> None:
    """Every opening has the same attributes when it was written and read; and again the same bytes."""
    content = written(openings, HEADER)
    again = cut_from(gerber.read(content, "again.gbr"), everything=True)
    assert said_of(again) == said_of(openings)
    assert written(again, HEADER) == content


def said_of(openings: Openings) -> list[tuple[str, AttributeSet, AttributeSet]]:
    rows = zip(
        openings.label.tolist(), openings.of_object.tolist(), openings.of_aperture.tolist(), strict=True
    )
    return [
        (openings.labels[label], openings.object_sets[one], openings.aperture_sets[other])
        for label, one, other in rows
    ]


NAMES = st.one_of(
    st.sampled_from([".C", ".P", ".N", "Mine", ".AperFunction"]), st.text(min_size=1, max_size=4)
)
VALUES = st.lists(st.one_of(st.sampled_from(["U1", "1", ""]), st.text(max_size=5)), max_size=3)


def sets(kind: str) -> st.SearchStrategy[AttributeSet]:
    def made(values: dict[str, list[str]]) -> AttributeSet:
        return tuple(sorted(Attribute(kind, name, tuple(its)) for name, its in values.items()))

    return st.dictionaries(NAMES, VALUES, max_size=4).map(made)


DISCS = [f"X{2 * k}000000Y0D03*" for k in range(6)]
NINE = cut("%ADD10C,1*%", "D10*", *DISCS, *wedge(20), *wedge(30), *wedge(40))


@given(st.lists(sets("TO"), min_size=9, max_size=9), st.lists(sets("TA"), min_size=9, max_size=9))
def test_any_attributes_are_read_again_as_they_were(
    of_objects: list[AttributeSet], of_apertures: list[AttributeSet]
) -> None:
    assert len(NINE) == 9
    row = np.arange(9)
    labels = tuple(component_of(one) for one in of_objects)
    content = written(
        replace(
            NINE,
            label=row.copy(),
            labels=labels,
            of_object=row.copy(),
            of_aperture=row.copy(),
            object_sets=tuple(of_objects),
            aperture_sets=tuple(of_apertures),
        ),
        HEADER,
    )
    again = cut_from(gerber.read(content, "again.gbr"), everything=True)
    assert said_of(again) == list(zip(labels, of_objects, of_apertures, strict=True))
