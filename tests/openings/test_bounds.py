"""Small files that would take all time or memory are refused, each with the limit that it passes."""

import math
import re

import pytest

from pastecheck import gerber
from pastecheck.errors import GerberUnsupportedError
from pastecheck.limits import NAMES, Limits
from pastecheck.openings import cut_from

HEAD = "%FSLAX46Y46*%%MOMM*%%ADD10C,0.1*%%ADD11C,0.5*%G75*G01*"


def _cut(body: str, limits: Limits | None = None) -> int:
    drawing = gerber.read(f"{HEAD}{body}M02*".encode(), "layer.gbr", limits or Limits())
    return len(cut_from(drawing, limits or Limits(), everything=True))


def _star(points: int) -> str:
    """A contour of a star: each of its sides crosses all others but two."""
    angles = [2 * math.pi * k * (points // 2) / points for k in range(points + 1)]
    places = [f"X{round(5e6 * math.cos(a))}Y{round(5e6 * math.sin(a))}" for a in angles]
    return f"G36*{places[0]}D02*{''.join(f'{place}D01*' for place in places[1:])}G37*"


def _hatch(strokes: int) -> str:
    """So many upright strokes across as many level ones."""
    along = "X0Y{0}D02*X60000000Y{0}D01*X{0}Y0D02*X{0}Y60000000D01*"
    return "D10*" + "".join(along.format(300_000 * k) for k in range(strokes))


PILE = "D11*%SRX3000Y1I0.000001J0*%X0Y0D03*%SR*%"
"""3,000 discs a nanometre apart: 3000 x 2999 / 2 pairs."""
CIRCLES = "".join(f"D10*X0Y0D02*G03*X0Y0I{k}J0D01*" for k in range(5_000_000_000, 5_000_000_400))
"""400 circles of 5 m, of 18,000 chords on each side."""
SPIRAL = "%ADD30C,700*%D30*G75*X2540000000Y0D02*G03*X0Y2590000000I-2540000000J0D01*"
"""A quarter turn from 2.54 m to 2.59 m: 3,000 chords or more, each with a disc of more than 5,000 corners."""


@pytest.mark.parametrize(
    ("body", "limit"),
    [
        pytest.param(PILE, "overlaps", id="discs a nanometre apart"),
        pytest.param(_star(301), "crossings", id="a star of 301 points"),
        pytest.param(_hatch(190), "tangle", id="190 strokes across 190"),
        pytest.param("D11*%SRX20000Y1I0.2J0*%X0Y0D03*%SR*%", "merged", id="20,000 discs in a row"),
        pytest.param(CIRCLES, "vertices", id="circles of metres"),
        pytest.param(SPIRAL, "merged", id="an arc of two radii, with a pen of 700 mm"),
    ],
)
def test_what_would_take_too_much_is_refused_by_name(body: str, limit: str) -> None:
    with pytest.raises(GerberUnsupportedError) as refused:
        _cut(body)
    assert refused.value.code == "too-large"
    assert re.search(rf"--limit {limit}=\d+", refused.value.hint)


def test_what_collapses_to_a_line_when_it_is_rounded_can_be_cut_again() -> None:
    # a moiré of rings a nanometre wide and as far apart: some collapse, and the next one is cut from them
    macro = "%AMY*6,0,0,90,.000001,.000001,8,.000001,90,33*%%ADD20Y*%D20*X0Y0D03*D11*X0Y0D03*"
    assert _cut(macro) >= 1


@pytest.mark.parametrize("body", [_star(41), _hatch(34), PILE.replace("3000", "300")])
def test_what_is_refused_with_a_low_limit_is_cut_with_the_one_that_the_error_names(body: str) -> None:
    limits = Limits(overlaps=30_000, crossings=100, tangle=100, merged=1000)
    for _ in range(5):
        try:
            assert _cut(body, limits) >= 1
        except GerberUnsupportedError as error:
            name, value = re.findall(r"--limit ([\w-]+)=(\d+)", error.hint)[0]
            assert name in NAMES
            limits = limits.raised(name, int(value))
        else:
            return
    pytest.fail("five limits were raised, and it is still refused")
