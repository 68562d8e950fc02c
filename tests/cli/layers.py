"""Layers small enough to see through, for tests of commands; judged by polyester-75-knife."""

RULES = "polyester-75-knife"


def layer(*drawn: str, function: str = "Paste,Top", units: str = "%MOMM*%", end: str = "M02*\n") -> bytes:
    """A layer file in format 4.6, with D10 a rectangle 0.6 x 1.2, D11 0.2 x 1.5 and D12 0.1 x 1.0."""
    said = [f"%TF.FileFunction,{function}*%"] if function else []
    apertures = ["%ADD10R,0.6X1.2*%", "%ADD11R,0.2X1.5*%", "%ADD12R,0.1X1*%"]
    lines = [*said, "%FSLAX46Y46*%", *([units] if units else []), *apertures, *drawn, end]
    return "\n".join(lines).encode()


# 0.6 wide in 75 um: aspect ratio 8, area ratio 0.72 / (3.6 x 0.075) = 2.7; one opening has no webs.
GOOD = layer("D10*", "X0Y0D03*")
# 0.2 is below 0.215 (warning) and not below 0.170 (error).
CAREFUL = layer("D11*", "X0Y0D03*")
# 0.1 is below 0.170.
BAD = layer("D12*", "X0Y0D03*")
NOTHING = layer()
NAMELESS = layer("D10*", "X0Y0D03*", function="")
COPPER = layer("D10*", "X0Y0D03*", function="Copper,L1,Top")

DRILL = b"M48\nMETRIC,TZ\nT1C0.300\n%\nT1\nX1000Y1000\nM30\n"
PNG = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x02\x00\x00\x00"
TRUNCATED = GOOD[: GOOD.index(b"D03")]
WITHOUT_UNITS = layer("D10*", "X0Y0D03*", units="")
UNDEFINED_APERTURE = layer("D99*", "X0Y0D03*")
UNCLOSED_REGION = layer("G36*", "X0Y0D02*", "X1000000Y0D01*", "X1000000Y1000000D01*", "G37*")
