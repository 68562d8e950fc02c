"""What an aperture or a region is for (.AperFunction) is known of every object."""

from pastecheck.drawing import Drawing
from tests.gerber.layers import read

FLASH = ("D10*", "X0Y0D03*")
PAD = ("%TA.AperFunction,SMDPad,CuDef*%", "%ADD10C,1*%")
CONTOUR = ("G36*", "X0Y0D02*", "X9Y0D01*", "X9Y9D01*", "X0Y0D01*", "G37*")


def purposes(drawing: Drawing) -> list[str]:
    return [drawing.purposes[row] for row in drawing.purpose.tolist()]


def test_a_flash_is_for_what_was_said_when_its_aperture_was_defined() -> None:
    assert purposes(read(*PAD, "%TD*%", "%TA.AperFunction,ViaPad*%", *FLASH)) == ["SMDPad,CuDef"]


def test_a_stroke_is_too() -> None:
    assert purposes(read(*PAD, "D10*", "X0Y0D02*", "X9Y0D01*")) == ["SMDPad,CuDef"]


def test_a_region_is_for_what_is_said_when_it_is_drawn() -> None:
    drawn = ("%TD.AperFunction*%", *CONTOUR, "%TA.AperFunction,BGAPad,CuDef*%", *CONTOUR)
    assert purposes(read(*PAD, *drawn)) == ["", "BGAPad,CuDef"]


def test_an_aperture_defined_when_nothing_was_said_is_for_nothing() -> None:
    assert purposes(read("%ADD10C,1*%", "%TA.AperFunction,ViaPad*%", *FLASH)) == [""]


def test_other_attributes_of_apertures_say_nothing_of_it() -> None:
    assert purposes(read("%TA.DrillTolerance,0.1,0.1*%", "%ADD10C,1*%", *FLASH)) == [""]


def test_an_attribute_in_a_comment_counts() -> None:
    assert purposes(read("G04 #@! TA.AperFunction,ViaPad*", "%ADD10C,1*%", *FLASH)) == ["ViaPad"]


def test_copies_are_for_what_their_originals_are() -> None:
    repeated = (*PAD, "%TD*%", "%SRX2Y1I5J0*%", *FLASH, "%SR*%")
    assert purposes(read(*repeated)) == ["SMDPad,CuDef"] * 2
    block = (*PAD, "%TD*%", "%ABD11*%", *FLASH, "%AB*%", "%LR90*%", "D11*", "X0Y0D03*", "X9Y0D03*")
    assert purposes(read(*block)) == ["SMDPad,CuDef"] * 2
