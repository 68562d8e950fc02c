"""One small sheet, byte for byte; read by eye, and looked at in a browser, before it was committed."""

from pathlib import Path

from pastecheck import rulesets
from pastecheck.cuts import Job, cut_file
from pastecheck.measurements import Measurements, Sheet
from pastecheck.rulesets import Cutting, OutlineSettings, Pass
from tests.cuts.laid import text_of
from tests.drawn import cut

GOLDEN = Path(__file__).parent / "golden" / "small-bottom.svg"
DRAWN = (
    # a row of four leads, a chip, two balls, a seal round a centre with an obround in it, and a large one
    "%ADD10R,0.25X1.5*%",
    "D10*",
    *(f"X{500_000 * column}Y0D03*" for column in range(4)),
    "%ADD11R,0.5X0.65*%",
    "D11*",
    "X4000000Y0D03*",
    "X4900000Y0D03*",
    "%ADD12C,0.4*%",
    "D12*",
    "X7000000Y0D03*",
    "X7800000Y0D03*",
    "%ADD13C,3*%",
    "D13*",
    "X1000000Y6000000D03*",
    "%LPC*%",
    "%ADD14C,2*%",
    "D14*",
    "X1000000Y6000000D03*",
    "%LPD*%",
    "%ADD15O,1X0.4*%",
    "D15*",
    "X1000000Y6000000D03*",
    "%ADD16R,3X2*%",
    "D16*",
    "X6000000Y6000000D03*",
)


def test_a_small_sheet_is_as_it_was_when_somebody_looked_at_it(*, update_golden: bool) -> None:
    foil = rulesets.load("polyester-75-knife").foil
    m = Measurements(cut(*DRAWN), foil, sheet=Sheet(105, 148, 2))
    cutting = Cutting((Pass(20.0, "40 gf"), Pass(20.0, "90 gf")), blade="60 degrees", scale_x=1.002)
    job = Job("sensor <small>-bottom.gbr", "0" * 64, "75 um polyester in the kitchen")
    text = text_of(cut_file(m, "bottom", OutlineSettings(overcut_mm=0.05, margin_mm=12.0), cutting, job))
    if update_golden:
        GOLDEN.parent.mkdir(exist_ok=True)
        GOLDEN.write_text(text, encoding="utf-8")
    assert text == GOLDEN.read_text(encoding="utf-8"), "write it anew with: pytest --update-golden"
