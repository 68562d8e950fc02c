"""
Web width: film left between two openings.

What: the shortest distance between two openings. Openings that overlap or share a side are one; openings that
touch in a single point are two with a web of 0. A pair with a third opening on its shortest line has no web.

Why: a narrow web is dragged by the blade, torn in weeding and stretched by the squeegee; where it fails, two
deposits become one and the joints bridge.

How: between circles, obrounds and rounded rectangles from their middle lines, which is exact; else between
the outlines. Looked for only as far as the loosest limit of the rule set.

Cannot see: film between two parts of one opening (the arms of a U), how long the web is, the kerf of a laser,
the burr of a blade.
"""

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed


def measure(m: Measurements, scope: Scope[NoParams]) -> Readings:
    """Width of each web that could fail."""
    webs = m.webs_within(scope.loosest_below + scope.nearer_mm)
    examined = len(m.openings) if len(m.openings) > 1 else 0
    return Readings(webs.gap_mm, webs.error_mm + ROUNDING, webs.first, webs.second, examined)


def wish(_m: Measurements, failed: Readings, limit: float) -> Wish:
    """Each of the two openings gives way by half of what is missing."""
    return Wish(give_way_mm=(limit - failed.values) / 2)


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """The new distance."""
    return changed.gap_mm(*readings.pairs, readings.values)


CHECK = Check(
    title="Web width",
    quantity="web width",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="shortest distance between two openings (our own definition)",
    error_bound="float rounding between standard shapes; else 0.1 um for each flattened outline",
    measure=measure,
    wish=wish,
    outlook=outlook,
    foresees=False,
    examples=(
        Example(
            "two slots 0.25 mm wide at a pitch of 0.5 mm",
            "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*\nX500000D03*",
            (0.25,),
        ),
        Example(
            "two circles of 0.4 mm at a pitch of 0.8 mm", "%ADD10C,0.4*%\nD10*\nX0Y0D03*\nX800000D03*", (0.4,)
        ),
        Example(
            "squares whose corners are (0.2, 0.2) apart",
            "%ADD10R,1X1*%\nD10*\nX0Y0D03*\nX1200000Y1200000D03*",
            (0.2828427,),
        ),
        Example(
            "the outer two of three slots have no web: the third lies between them",
            "%ADD10R,0.1X1*%\nD10*\nX0Y0D03*\nX300000D03*\nX600000D03*",
            (0.2, 0.2),
        ),
    ),
)
