"""Openings have the attributes of what draws them; those in pieces have what all of these agree in."""

import time

import pytest

from pastecheck.errors import GerberUnsupportedError
from pastecheck.gerber.attributes import component_of
from pastecheck.limits import Limits
from pastecheck.openings import Openings, cut_from
from tests.drawn import codes_of, cut, mm_layer, read_text

DISC = ("%ADD10C,1*%", "D10*")
PIECES = ("X0Y0D03*", "X500000Y0D03*")
"""Two discs that overlap."""


def of_objects(openings: Openings) -> list[str]:
    sets = [openings.object_sets[row] for row in openings.of_object.tolist()]
    labels = [openings.labels[row] for row in openings.label.tolist()]
    assert labels == [component_of(attributes) for attributes in sets]
    return ["; ".join(",".join([name, *values]) for _, name, values in attributes) for attributes in sets]


def of_apertures(openings: Openings) -> list[str]:
    sets = [openings.aperture_sets[row] for row in openings.of_aperture.tolist()]
    return ["; ".join(",".join([name, *values]) for _, name, values in attributes) for attributes in sets]


def test_openings_that_stand_alone_have_the_attributes_of_what_draws_them() -> None:
    drawn = ("%TO.C,U1*%", "%TO.P,U1,2*%", "X5000000Y0D03*", "%TO.P,U1,1*%", "X0Y0D03*")
    openings = cut("%TA.AperFunction,Material*%", *DISC, *drawn)
    assert of_objects(openings) == [".C,U1; .P,U1,1", ".C,U1; .P,U1,2"]  # sorted by place
    assert of_apertures(openings) == [".AperFunction,Material"] * 2


@pytest.mark.parametrize(
    ("first", "second", "both"),
    [
        (("%TO.C,U1*%", "%TO.N,A*%"), (), ".C,U1; .N,A"),
        (("%TO.C,U1*%", "%TO.N,A*%"), ("%TO.N,B*%",), ".C,U1"),
        (("%TO.C,U1*%", "%TO.N,A*%"), ("%TD.N*%", "%TOMine*%"), ".C,U1"),
        (("%TO.N,A*%",), ("%TO.N,B*%",), ""),
        (("%TO.N,A*%",), ("%TD*%",), ""),
        # the component as the label has it: of any piece, and of all that are named
        (("%TO.C,U1*%", "%TO.N,A*%"), ("%TD.C*%",), ".C,U1; .N,A"),
        (("%TO.C,U1*%", "%TO.N,A*%"), ("%TO.C,R2*%",), ".C,R2+U1; .N,A"),
        (("%TO.P,U1,1*%", "%TO.N,A*%"), ("%TO.P,U1,2*%",), ".C,U1; .N,A"),
        (("%TO.C,U1*%", "%TO.P,X,1*%"), ("%TD.C*%",), ".C,U1+X; .P,X,1"),
    ],
)
def test_an_opening_in_pieces_has_the_attributes_in_which_they_agree(
    first: tuple[str, ...], second: tuple[str, ...], both: str
) -> None:
    openings = cut(*DISC, *first, PIECES[0], *second, PIECES[1])
    assert of_objects(openings) == [both]


def test_attributes_of_apertures_stay_where_all_pieces_agree_in_them() -> None:
    apertures = ("%TAA,1*%", "%TAB,1*%", "%ADD10C,1*%", "%TAB,2*%", "%ADD11C,1*%", "%TD*%")
    assert of_apertures(cut(*apertures, "D10*", PIECES[0], "D11*", PIECES[1])) == ["A,1"]


def test_what_cuts_a_piece_away_has_no_say() -> None:
    drawn = ("%TO.N,A*%", PIECES[0], "%TO.N,B*%", "%LPC*%", PIECES[1])
    assert of_objects(cut(*DISC, *drawn)) == [".N,A"]


def test_what_is_drawn_twice_at_one_place_has_what_both_agree_in() -> None:
    twice = ("%TO.C,U1*%", "%TO.P,U1,1*%", PIECES[0], "%TO.P,U1,2*%", PIECES[0])
    openings = cut(*DISC, *twice, "X9000000Y0D03*")
    assert of_objects(openings) == [".C,U1", ".C,U1; .P,U1,2"]
    assert codes_of(openings) == ["drawn-twice"]
    by_pins = ("%TO.P,U1,1*%", PIECES[0], "%TO.P,U1,2*%", PIECES[0])  # by the label they are equal
    assert of_objects(cut(*DISC, *by_pins)) == [".C,U1"]


def test_like_clusters_have_attributes_of_their_own() -> None:
    drawn = [
        line
        for k in range(3)
        for line in (f"%TO.N,{k}*%", f"X{9 * k}000000Y0D03*", f"X{9 * k}500000Y0D03*", "%TD*%")
    ]
    assert of_objects(cut(*DISC, *drawn)) == [".N,0", ".N,1", ".N,2"]


def test_more_attributes_of_pieces_that_differ_than_the_limit_are_refused() -> None:
    # two attributes and two more are compared
    text = mm_layer(*DISC, "%TOA*%", "%TOB,1*%", PIECES[0], "%TOB,2*%", PIECES[1])
    drawing = read_text(text)
    cut_from(drawing, Limits(attributes=4))
    with pytest.raises(GerberUnsupportedError, match="at most 3 are compared"):
        cut_from(drawing, Limits(attributes=3))


def test_openings_of_very_many_pairs_of_components_take_no_longer_each() -> None:
    # 6,000 openings, each of two components: 0.1 s; each looked up among all labels by turns 1.4 s
    drawn = [
        line
        for k in range(6000)
        for line in (
            f"%TO.C,R{k}*%",
            f"X{k % 99 * 2}000000Y{k}000000D03*",
            f"%TO.C,U{k}*%",
            f"X{k % 99 * 2}500000Y{k}000000D03*",
        )
    ]
    drawing = read_text(mm_layer(*DISC, *drawn))
    begun = time.process_time()
    openings = cut_from(drawing)
    assert time.process_time() - begun < 0.7
    assert openings.labels[openings.label[-1]] == "R5999+U5999"


def test_pieces_of_openings_may_come_in_any_order() -> None:
    pieces = ("%TO.C,U1*%", PIECES[0], "%TO.N,B*%", PIECES[1]), ("%TO.C,U1*%", "%TO.N,B*%", PIECES[1])
    there = [line.replace("Y0", "Y9000000") for line in (*pieces[1], "%TD.N*%", PIECES[0])]
    openings = cut(*DISC, *pieces[0], "%TD*%", *there)
    assert of_objects(openings) == [".C,U1"] * 2
    assert openings.of_object[0] == openings.of_object[1]
