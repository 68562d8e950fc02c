"""Printed figures of powder and paste, copied here with their sources: balls across, volumes, masses."""

from typing import NamedTuple

from tests.outside.worked_examples import SLDA021B, Source

FIVE_BALLS = Source(
    "Indium Corporation (R. Lasky's blog)",
    "Dispelling The 'Five Ball Rule'",
    "hotwires.net/dispelling-the-five-ball-rule",
)
FELDER = Source(
    "just-solder.de (FELDER distributor)",
    "Solder paste particle sizes, 5-particle rule table",
    "just-solder.de/en/kopie-von-ipc-vorgaben",
)
NEEDLE = Source(
    "Indium Corporation",
    "Powder size for printing and dispensing",
    "indium.com/blog/powder-size-for-printing-and-dispensing.php",
)
USAGE = Source(
    "Indium Corporation",
    "Calculating Solder Paste Usage",
    "indium.com/blog/calculating-solder-paste-usage-1.php",
)


class Least(NamedTuple):
    """The smallest opening that a rule of balls lets pass, digits as printed."""

    key: str
    source: Source
    settings: str
    """Of powder-fit, as a rule set has them."""
    printed_um: str


class Volume(NamedTuple):
    """What an opening in a foil of some thickness holds, digits as printed."""

    key: str
    source: Source
    aperture_in: str
    thickness: str
    printed: str
    mm3: float
    """One of the unit that it is printed in."""


LEAST = (
    Least("indium-5ball", FIVE_BALLS, "powder-type: 4", "190"),  # printed as 0.190 mm
    Least("justsolder-1", FELDER, "powder-type: 3", "225"),
    # this table has balls of up to 40 um in type 4, all others 38
    Least("justsolder-2", FELDER, "largest-ball: 40 um", "200"),
    Least("justsolder-4", FELDER, "powder-type: 6", "75"),
    # seven balls across are for dispensing
    Least("indium-needle", NEEDLE, "{powder-type: 5, balls: 7}", "175"),
)

BALLS_ACROSS_A_CIRCLE = (FIVE_BALLS, "C,0.275", "powder-type: 4", "7.2")
"""
A circle of 0.275 mm holds 7.2 balls of type 4, printed beside a rule of eight. For type 3 five are printed,
which does not follow: 0.275 / 0.045 is 6.1.
"""

VOLUMES = (
    Volume("ti-slda021b-2", SLDA021B, "C,0.014", "5 mil", "770", 0.0254**3),  # cubic mil
    Volume("indium-use-1", USAGE, "R,0.012X0.012", "4 mil", "0.000000576", 25.4**3),  # cubic inches
)
MASS = ("indium-use-3", USAGE, "R,0.012X0.012", "4 mil", "4.14", "0.0000391")
"""Aperture in inches, foil, density in g/cm3; the mass of the paste in g."""
