"""Layers written as Gerber statements and judged, as pictures take them."""

from typing import NamedTuple

from pastecheck import rulesets
from pastecheck.judge import Source, layer_report
from pastecheck.lands import NOTHING_KNOWN, Board
from pastecheck.measurements import Measurements
from pastecheck.openings import Openings
from pastecheck.pictures import Picture, picture_of
from pastecheck.report import LayerReport
from tests.drawn import SOURCE, cut_text, mm_layer

KNIFE = "polyester-75-knife"


class Judged(NamedTuple):
    """A layer, and what was found in it."""

    openings: Openings
    report: LayerReport
    board: Board = NOTHING_KNOWN

    def picture(self, *, is_mirrored: bool = False) -> Picture:
        """The layer drawn, with what was found."""
        return picture_of(self.openings, self.board, self.report, is_mirrored=is_mirrored)


def judged(*drawn: str, side: str = "top") -> Judged:
    """A layer in millimetres, held against a rule set for film of 75 um that is cut with a knife."""
    openings, rule_set = cut_text(mm_layer(*drawn)), rulesets.load(KNIFE)
    m = Measurements(openings, rule_set.foil, sheet=rule_set.sheet)
    return Judged(openings, layer_report(m, rule_set, Source(SOURCE, "5e" * 32, side)))
