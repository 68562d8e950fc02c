"""
Worked examples that others have printed, copied here with their sources.

Those of area ratio and aspect ratio whose printed result follows from their printed inputs. Examples that
contradict themselves, or give a limit and no result, are no test and are left out.
"""

from typing import NamedTuple


class Source(NamedTuple):
    """Where an example is printed, and whether that was seen or is told from memory."""

    publisher: str
    title: str
    place: str
    seen: str = "seen"


class Opening(NamedTuple):
    """An aperture as the example gives it, in inches or millimetres."""

    unit: str
    aperture: str


class Example(NamedTuple):
    """A printed result, digits as printed, of one opening in one foil."""

    key: str
    source: Source
    check: str
    opening: Opening
    thickness: str
    printed: str


AIM = Source(
    "AIM Solder (O'Neill, Tafoya, Ramirez), SMT007 Magazine June 2018 pp. 73-83",
    "Evaluating the Impact of Powder Size and Stencils on Solder Paste Transfer Efficiency",
    "iconnect007.uberflip.com/i/989774; which pad has which ratio is inferred from the stated sizes and foil",
)
SLDA021B = Source(
    "Texas Instruments",
    "SLDA021B, Stencil Design section",
    "ti.com.cn document viewer, SLDA021B, stencil design",
)
SPRAAV2 = Source(
    "Texas Instruments",
    "SPRAAV2 (Apr 2008), PCB Assembly Guidelines for 0.4 mm PoP, Part II, Table 1",
    "quoted in smtnet.com forum thread 13942 (original not seen)",
)
SMTNET = Source("SMTnet forum, 17 Jun 2003", "Stencil Aperture Aspect Ratio", "smtnet.com forum")
IPC_7525 = Source(
    "IPC",
    "IPC-7525 (2000) / 7525A (2007), table of general aperture design guidelines",
    "not seen: only the front matter is in the copy at hand",
    "from memory",
)


def _circle(mil: int) -> Opening:
    return Opening("inch", f"C,{mil / 1000:.3f}")


# 0.2 x 1.2 mm at 0.40 mm pitch: printed as 1.6 to 2.0 for foils of 0.125 to 0.1 mm.
_QFP_40 = Opening("mm", "R,0.2X1.2")
# 0.3 x 1.45 mm at 0.65 mm pitch: printed as 0.71 to 0.83 for foils of 0.175 to 0.15 mm.
_QFP_65 = Opening("mm", "R,0.3X1.45")
# The length of the slot is not printed, and an aspect ratio does not ask for it: 60 mil is ours.
_NINE_MIL_SLOT = Opening("inch", "R,0.009X0.060")

EXAMPLES = (
    Example("aim-1", AIM, "area-ratio", _circle(8), "4 mil", "0.50"),
    Example("aim-3", AIM, "area-ratio", _circle(11), "4 mil", "0.69"),
    Example("ti-slda021b-1", SLDA021B, "area-ratio", _circle(14), "5 mil", "0.70"),
    Example("ti-spraav2-01", SPRAAV2, "area-ratio", _circle(10), "100 um", "0.64"),
    Example("ti-spraav2-06", SPRAAV2, "area-ratio", _circle(15), "100 um", "0.95"),
    Example("ti-spraav2-08", SPRAAV2, "area-ratio", _circle(10), "125 um", "0.51"),
    Example("ti-spraav2-09", SPRAAV2, "area-ratio", _circle(11), "125 um", "0.56"),
    Example("ti-spraav2-10", SPRAAV2, "area-ratio", _circle(12), "125 um", "0.61"),
    Example("ti-spraav2-14", SPRAAV2, "area-ratio", _circle(16), "125 um", "0.81"),
    Example("ti-spraav2-15", SPRAAV2, "area-ratio", _circle(10), "127 um", "0.50"),
    Example("ti-spraav2-16", SPRAAV2, "area-ratio", _circle(11), "127 um", "0.55"),
    Example("ti-spraav2-22", SPRAAV2, "area-ratio", _circle(10), "152.4 um", "0.42"),
    Example("ti-spraav2-23", SPRAAV2, "area-ratio", _circle(11), "152.4 um", "0.46"),
    Example("ti-spraav2-24", SPRAAV2, "area-ratio", _circle(12), "152.4 um", "0.50"),
    Example("ti-spraav2-26", SPRAAV2, "area-ratio", _circle(14), "152.4 um", "0.58"),
    Example("ti-spraav2-27", SPRAAV2, "area-ratio", _circle(15), "152.4 um", "0.63"),
    Example("ti-spraav2-28", SPRAAV2, "area-ratio", _circle(16), "152.4 um", "0.67"),
    Example("smtnet-1", SMTNET, "aspect-ratio", _NINE_MIL_SLOT, "6 mil", "1.5"),
    Example("ipc7525-QFP-0.40-aspect", IPC_7525, "aspect-ratio", _QFP_40, "0.125 mm", "1.6"),
    Example("ipc7525-QFP-0.40-aspect", IPC_7525, "aspect-ratio", _QFP_40, "0.1 mm", "2.0"),
    Example("ipc7525-QFP-0.65-area", IPC_7525, "area-ratio", _QFP_65, "0.175 mm", "0.71"),
    Example("ipc7525-QFP-0.65-area", IPC_7525, "area-ratio", _QFP_65, "0.15 mm", "0.83"),
)

ODD_SHAPE = Source(
    "Indium Corporation (R. Lasky's blog)",
    "The Area Ratio for Odd-Shaped Stencil Apertures",
    "hotwires.net/tag/stencils",
)
# A rectangle of 40 x 24 mil with an isosceles triangle (base 12, sides 16 mil, printed area 89 mil2) on its
# long and on its short side: the walls are 40, 24, 16, 16, 40 - 12 = 28, 24 - 12 = 12, 16, 16.
ODD_SHAPE_CORNERS_MIL = (
    (0, 0),
    (40, 0),
    (40, 6),
    (54.832, 12),  # the height of the triangle: the root of 16² - 6², 14.832
    (40, 18),
    (40, 24),
    (26, 24),
    (20, 38.832),
    (14, 24),
    (0, 24),
)
ODD_SHAPE_AREA_MIL2 = ("indium-odd-2", "1138")
ODD_SHAPE_PERIMETER_MIL = ("indium-odd-3", "168")
