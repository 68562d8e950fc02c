"""Layers of pads with attributes, made by hypothesis, for which the attributes of every pad are known."""

from typing import Final, NamedTuple

from hypothesis import strategies as st

from tests.drawn import mm_layer
from tests.gerber.plain_reader import Attributes

_CELL_UM: Final = 9000
_APERTURES: Final = ("R,0.3X1.5", "O,0.3X1.5", "R,0.8X0.9", "C,0.5", "C,0.25", "R,3.2X3.2", "P,1X8", "")
"""The last is a region: a wedge."""
_GROUPS: Final = {
    "leads": ((0, 1), [(500 * k, 0) for k in range(5)]),
    "chip": ((2,), [(0, 0), (1600, 0)]),
    "balls": ((3, 4), [(800 * k, 800 * row) for k in range(2) for row in range(2)]),
    "large": ((5,), [(0, 0)]),
    "others": ((6, 7), [(0, 0), (3000, 0)]),
}
"""Which apertures there are in a cell, and where, in um."""


class Pad(NamedTuple):
    """An opening as it is drawn, and what is said of it."""

    aperture: int
    x_um: int
    y_um: int
    of_object: Attributes
    of_aperture: Attributes


_TEXTS: Final = ("1", "A,B", "GND", "Net-(R1-Pad2)", "µ", "a b")


def _attributes(names: tuple[str, ...]) -> st.SearchStrategy[Attributes]:
    one = st.dictionaries(st.sampled_from(names), st.lists(st.sampled_from(_TEXTS), min_size=1, max_size=2))
    return one.map(lambda found: tuple(sorted((name, *values) for name, values in found.items())))


_OF_OBJECTS: Final = _attributes((".C", ".P", ".N", ".CVal", "Mine"))
_OF_APERTURES: Final = _attributes((".AperFunction", ".DrillTolerance", "Yours"))


@st.composite
def pads(draw: st.DrawFn) -> list[Pad]:
    """Pads in cells, as parts have them: apart from one another, and sets of attributes shared by some."""
    of_objects = draw(st.lists(_OF_OBJECTS, min_size=1, max_size=4))
    of_apertures = draw(st.lists(_OF_APERTURES, min_size=1, max_size=3))
    found = []
    for cell, name in enumerate(draw(st.lists(st.sampled_from(sorted(_GROUPS)), min_size=1, max_size=6))):
        apertures, places = _GROUPS[name]
        aperture = draw(st.sampled_from(apertures))
        for x_um, y_um in places:
            said = draw(st.sampled_from(of_objects)), draw(st.sampled_from(of_apertures))
            found.append(Pad(aperture, x_um + cell % 3 * _CELL_UM, y_um + cell // 3 * _CELL_UM, *said))
    return found


def text_of(found: list[Pad]) -> str:
    """A layer of pads: every set is put in force from nothing."""
    tools = {
        pad[::4]: number for number, pad in enumerate(dict.fromkeys(found), 10) if _APERTURES[pad.aperture]
    }
    lines = []
    for (aperture, attributes), number in tools.items():
        lines += [*_in_force("TA", attributes), f"%ADD{number}{_APERTURES[aperture]}*%", "%TD*%"]
    for pad in found:
        lines += _in_force("TO", pad.of_object)
        if pad[::4] in tools:
            lines += [f"D{tools[pad[::4]]}*", f"X{pad.x_um}000Y{pad.y_um}000D03*", "%TD*%"]
        else:
            lines += [*_in_force("TA", pad.of_aperture), *_wedge(pad.x_um, pad.y_um), "%TD*%"]
    return mm_layer(*lines)


def _in_force(kind: str, attributes: Attributes) -> list[str]:
    return [f"%{kind}{','.join([name, *map(_field, values)])}*%" for name, *values in attributes]


def _field(text: str) -> str:
    return text.replace(",", r"\u002C")


def _wedge(x_um: int, y_um: int) -> list[str]:
    corners = [(-500, -500), (500, -500), (500, 0), (-500, 500), (-500, -500)]
    places = [f"X{x_um + dx}000Y{y_um + dy}000" for dx, dy in corners]
    return ["G36*", f"{places[0]}D02*", *(f"{place}D01*" for place in places[1:]), "G37*"]
