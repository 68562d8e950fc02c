"""
Layers that a general-purpose library reads otherwise than we do, the area by hand, and the rule that decides.

Sections are those of the Gerber layer format specification, revision 2023.08, as our notes sum it up; what is
remembered and was not read is marked so. Each is the smallest case for what random layers brought to light.
"""

from dataclasses import dataclass
from math import asin, hypot, pi, sqrt

GERBONARA, PYGERBER, PLOTTER = "gerbonara", "pygerber", "gerber-plotter"

MM = "%FSLAX46Y46*%\n%MOMM*%\nG75*\n"
DISC = pi / 4
"""Area of a circle of 1 mm."""
AT_ORIGIN = "X0Y0D03*"


@dataclass(frozen=True)
class Disagreement:
    """A layer, its area worked out by hand, who says otherwise, and why he is wrong."""

    what: str
    wrong: tuple[str, ...]
    rule: str
    drawn: tuple[str, ...]
    area_mm2: float
    header: str = MM

    @property
    def text(self) -> str:
        return self.header + "\n".join([*self.drawn, "M02*", ""])


def sector(radius: float, half_width: float) -> float:
    """Half the area of a disc that lies within a band about its diameter."""
    return half_width * sqrt(radius**2 - half_width**2) + radius**2 * asin(half_width / radius)


def arc_stroke(radius: float, chord: float, width: float) -> float:
    """Area of an arc of less than half a turn, drawn with a round pen."""
    return 2 * asin(chord / (2 * radius)) * radius * width + width**2 * DISC


DISAGREEMENTS = [
    # ---------------------------------------------------------------------------------- transforms and copies
    Disagreement(
        "a circle scaled to twice its size",
        (GERBONARA, PLOTTER),
        "4.9: LS scales what is flashed",
        ("%ADD10C,1*%", "D10*", "%LS2*%", AT_ORIGIN),
        4 * DISC,
    ),
    Disagreement(
        "a stroke with a pen scaled to twice its size",
        (GERBONARA, PLOTTER, PYGERBER),
        "4.9: transforms affect draws and arcs",
        ("%ADD10C,1*%", "D10*", "%LS2*%", "X0Y0D02*", "G01X3000000D01*"),
        4 * DISC + 3 * 2,
    ),
    Disagreement(
        # upright and turned by 90 deg it makes a cross
        "a rectangle turned by 90 degrees over one that is not",
        (GERBONARA, PLOTTER),
        "4.9: LR turns what is flashed",
        ("%ADD10R,2X1*%", "D10*", AT_ORIGIN, "%LR90*%", AT_ORIGIN),
        2 + 2 - 1,
    ),
    Disagreement(
        "a square to the right of its origin, mirrored over one that is not",
        (GERBONARA, PLOTTER),
        "4.9: LM mirrors what is flashed",
        ("%AMSIDE*21,1,1,1,1,0,0*%", "%ADD10SIDE*%", "D10*", AT_ORIGIN, "%LMX*%", AT_ORIGIN),
        1 + 1,
    ),
    Disagreement(
        # (1.5, 0) is mirrored to (-1.5, 0) and then turned to (0, -1.5), where the other square lies
        "a square mirrored and turned by 90 degrees onto another",
        (GERBONARA, PLOTTER, PYGERBER),
        "4.9: first mirrored, then rotated",
        (
            "%AMSIDE*21,1,1,1,1.5,0,0*%",
            "%ADD10SIDE*%",
            "%ADD11R,1X1*%",
            "D11*",
            "X0Y-1500000D03*",
            "%LMX*%",
            "%LR90*%",
            "D10*",
            AT_ORIGIN,
        ),
        1,
    ),
    Disagreement(
        "a circle repeated twice",
        (GERBONARA,),
        "4.12: SR draws copies",
        ("%ADD10C,1*%", "D10*", "%SRX2Y1I3J0*%", AT_ORIGIN, "%SR*%"),
        2 * DISC,
    ),
    Disagreement(
        # copies at 5 and 8; where one is moved by the current point too, it lies on the circle at 10
        "a circle repeated twice, and closed away from the origin",
        (GERBONARA, PYGERBER),
        "4.12: a copy is moved by its steps only, not by the current point",
        ("%ADD10C,1*%", "D10*", "X10000000Y0D03*", "%SRX2Y1I3J0*%", "X5000000Y0D03*", "%SR*%"),
        3 * DISC,
    ),
    Disagreement(
        "a block flashed twice",
        (GERBONARA, PLOTTER),
        "4.11: a block is an aperture of all that is drawn in it",
        ("%ADD10C,1*%", "%ABD11*%", "D10*", "X1000000Y0D03*", "%AB*%", "D11*", AT_ORIGIN, "X3000000D03*"),
        2 * DISC,
    ),
    Disagreement(
        "a block flashed with clear polarity into a square",
        (GERBONARA, PLOTTER, PYGERBER),
        "4.11: LPC toggles the polarity of every object of a block",
        (
            "%ADD10C,1*%",
            "%ADD12R,2X2*%",
            "%ABD11*%",
            "D10*",
            AT_ORIGIN,
            "%AB*%",
            "D12*",
            AT_ORIGIN,
            "%LPC*%",
            "D11*",
            AT_ORIGIN,
        ),
        4 - DISC,
    ),
    Disagreement(
        # pygerber mends an outline that touches itself by buffer(0), and lost most of this stroke; since its
        # adapter has make_valid do that, it agrees
        "an arc of a block, flashed where its outline touches itself by rounding",
        (GERBONARA, PLOTTER),
        "4.7.2 and 4.11: a stroke is as long and wide in a block as outside",
        (
            "%ADD10C,0.242767*%",
            "%ABD11*%",
            "D10*",
            "X-3785338Y-5919457D02*",
            "G02X-3556033Y-4351394I1355769J602537D01*",
            "%AB*%",
            "D11*",
            "X-4804906Y4123476D03*",
        ),
        arc_stroke(hypot(1.355769, 0.602537), hypot(0.229305, 1.568063), 0.242767),
    ),
    # --------------------------------------------------------------------------------------------- apertures
    Disagreement(
        # two squares with a diagonal of 2 share an octagon of 4 (sqrt 2 - 1)
        "a square turned by 225 degrees by its third parameter over one that is not",
        (GERBONARA, PYGERBER),
        "4.4: P is turned by degrees",
        ("%ADD10P,2X4*%", "%ADD11P,2X4X225*%", "D10*", AT_ORIGIN, "D11*", AT_ORIGIN),
        2 + 2 - 4 * (sqrt(2) - 1),
    ),
    Disagreement(
        "a circle with a rectangular hole",
        (GERBONARA, PYGERBER),
        "8.1: rectangular holes are deprecated, and cut",
        ("%ADD10C,2X1X0.5*%", "D10*", AT_ORIGIN),
        4 * DISC - 0.5,
    ),
    Disagreement(
        # swept along (2, 2): 1 + 1 x 2 + 1 x 2
        "a stroke with a square pen",
        (GERBONARA, PYGERBER),
        "8.1: strokes with R are deprecated; the pen keeps its direction",
        ("%ADD10R,1X1*%", "D10*", "X0Y0D02*", "G01X2000000Y2000000D01*"),
        5,
    ),
    Disagreement(
        # swept along (2, 2): the pen, and the path of 2 sqrt 2 times the pen's width there, 1 + 1 / sqrt 2
        "a stroke with an obround pen",
        (GERBONARA, PYGERBER, PLOTTER),
        "from memory: before C and R became the only pens, every aperture was swept as it is",
        ("%ADD10O,2X1*%", "D10*", "X0Y0D02*", "G01X2000000Y2000000D01*"),
        1 + DISC + 2 * sqrt(2) + 2,
    ),
    Disagreement(
        "a circle of no size beside one of 1 mm, both drawn",
        (PYGERBER,),
        "4.4: only C may be of size zero; it draws nothing",
        ("%ADD10C,0*%", "%ADD11C,1*%", "D10*", AT_ORIGIN, "X0Y0D02*", "G01X2000000D01*", "D11*", AT_ORIGIN),
        DISC,
    ),
    # ------------------------------------------------------------------------------------------------ macros
    Disagreement(
        # two squares with a diagonal of 1 at (3, 0)
        "a polygon primitive flashed away from the origin, onto another square",
        (GERBONARA,),
        "4.5: a macro is flashed as other apertures are",
        (
            "%AMP5*5,1,4,0,0,1,0*%",
            "%ADD10P5*%",
            "%ADD11P,1X4*%",
            "D10*",
            "X3000000Y0D03*",
            "D11*",
            "X3000000D03*",
        ),
        0.5,
    ),
    Disagreement(
        # turned from (2, 0) to (0, 2), where a square of the same size and direction lies
        "a polygon primitive turned about the origin of its macro onto another",
        (GERBONARA, PLOTTER),
        "4.5: primitives turn about the origin of the macro, not about their centre",
        ("%AMP5*5,1,4,2,0,1,90*5,1,4,0,2,1,0*%", "%ADD10P5*%", "D10*", AT_ORIGIN),
        0.5,
    ),
    Disagreement(
        # two squares with a diagonal of 2, as for P above
        "a polygon primitive turned by 45 degrees over one that is not",
        (PYGERBER,),
        "4.5: primitive 5 is turned once",
        ("%AMP5*5,1,4,0,0,2,45*5,1,4,0,0,2,0*%", "%ADD10P5*%", "D10*", AT_ORIGIN),
        2 + 2 - 4 * (sqrt(2) - 1),
    ),
    Disagreement(
        # a ring of 2 and 1 less a cross of 0.2
        "a thermal",
        (GERBONARA,),
        "4.5: primitive 7",
        ("%AMTHERMAL*7,0,0,2,1,0.2,0*%", "%ADD10THERMAL*%", "D10*", AT_ORIGIN),
        4 * DISC - DISC - 4 * (sector(1, 0.1) - sector(0.5, 0.1)),
    ),
    Disagreement(
        # the second ring is 2 - 2 (0.4 + 0.3) = 0.6 wide, which is less than twice 0.4: a disc; the cross
        # hair of 0.4 lies within it
        "a moire whose inner ring has no hole",
        (GERBONARA, PYGERBER),
        "8.1, from memory: primitive 6 is deprecated; what is left of its last ring is a disc",
        ("%AMMOIRE*6,0,0,2,0.4,0.3,2,0.1,0.4,0*%", "%ADD10MOIRE*%", "D10*", AT_ORIGIN),
        4 * DISC - 1.2**2 * DISC + 0.6**2 * DISC,
    ),
    Disagreement(
        "a rectangle given by its lower left corner",
        (GERBONARA,),
        "8.1, from memory: primitive 22 is deprecated",
        ("%AMLOW*22,1,2,1,0.5,0.5,0*%", "%ADD10LOW*%", "D10*", AT_ORIGIN),
        2,
    ),
    Disagreement(
        "a circle as large as 1 and a variable that nothing defines",
        (GERBONARA, PYGERBER, PLOTTER),
        "4.5: undefined variables are 0",
        ("%AMSUM*1,1,1+$7,0,0*%", "%ADD10SUM*%", "D10*", AT_ORIGIN),
        DISC,
    ),
    Disagreement(
        # at (-1, 0), where another one lies
        "a circle at minus a sum, onto another",
        (PLOTTER,),
        "4.5: a sign may stand before an expression",
        ("%AMSUM*1,1,1,-($1+0),0*1,1,1,-1,0*%", "%ADD10SUM,1*%", "D10*", AT_ORIGIN),
        DISC,
    ),
    Disagreement(
        "a circle whose size is a variable with a number of two digits",
        (PLOTTER,),
        "4.5: variables have any number",
        ("%AMSUM*$12=1*1,1,$12,0,0*%", "%ADD10SUM*%", "D10*", AT_ORIGIN),
        DISC,
    ),
    # ------------------------------------------------------------------------------------------------ writing
    Disagreement(
        "a macro with a name of one letter",
        (GERBONARA,),
        "from memory: a name is a letter and any letters, digits, dots and underscores behind it, or none",
        ("%AMM*1,1,1,0,0*%", "%ADD10M*%", "D10*", AT_ORIGIN),
        DISC,
    ),
    Disagreement(
        "a circle of one hundredth of an inch",
        (PYGERBER,),
        "4.2.1: all lengths of the file are in its unit",
        ("%ADD10C,0.01*%", "D10*", AT_ORIGIN),
        0.254**2 * DISC,
        header="%FSLAX46Y46*%\n%MOIN*%\nG75*\n",
    ),
    Disagreement(
        "unit and polarity in one extended block",
        (GERBONARA, PYGERBER, PLOTTER),
        "8.3, from memory: one command between two percent signs is the rule now, several were allowed once",
        ("%ADD10R,2X2*%", "%ADD11C,1*%", "D10*", AT_ORIGIN, "%LPD*", "LPC*%", "D11*", AT_ORIGIN),
        4 - DISC,
        header="%FSLAX46Y46*\nMOMM*%\nG75*\n",
    ),
    Disagreement(
        # a quarter of a disc of radius 1
        "an arc begun by G3",
        (GERBONARA,),
        "8.3.3: G1, G2, G3 were revoked in 2020, and stand in files",
        ("G36*", "X0Y0D02*", "G01X1000000D01*", "G3X0Y1000000I-1000000J0D01*", "G01Y0D01*", "G37*"),
        DISC,
    ),
    Disagreement(
        "a stroke whose second point has no D01",
        (GERBONARA,),
        "8.3: D01 is modal in old files",
        ("%ADD10C,1*%", "D10*", "X0Y0D02*", "G01*", "X1000000D01*", "G01*", "X2000000Y0*"),
        DISC + 2,
    ),
    Disagreement(
        # a quarter of a disc of radius 1; the end is off by two units of the file, which are 2 nm
        "a G74 arc whose radii differ by rounding",
        (PLOTTER, PYGERBER),
        "4.14: points may lie half a micrometre off",
        ("G36*", "X0Y0D02*", "G01X1000000D01*", "G74*", "G03X0Y1000002I1000000J0D01*", "G01Y0D01*", "G37*"),
        DISC,
    ),
]
