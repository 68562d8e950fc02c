"""What the format does not know is passed over with a warning where it stands by itself."""

import pytest

from tests.gerber.layers import flashes, read

DISC = ("%ADD10C,1*%", "D10*")
FLASH = "X1000000Y0D03*"


@pytest.mark.parametrize(
    ("statement", "named"),
    [
        ("%ZZ1,2,3*%", "ZZ"),
        ("%LQC*%", "LQ"),  # LPC, damaged
        ("G99*", "G99"),
        ("G05*", "G05"),
        ("M30*", "M30"),
        ("g99*", "G99"),
        ("G01G99*", "G99"),
    ],
)
def test_an_unknown_command_is_passed_over_and_said_to_perhaps_be_damage(statement: str, named: str) -> None:
    drawing = read(*DISC, statement, FLASH)
    assert flashes(drawing) == [(1, 0)]
    (said,) = drawing.diagnostics
    assert (said.code, said.level, said.span.line) == ("unknown-command", "warning", 5)
    assert f"unknown command {named} was passed over" in said.text
    assert "damaged" in said.text


def test_many_unknown_codes_are_told_once_a_letter() -> None:
    drawing = read(*DISC, *(f"G{code}*" for code in range(1000, 1100)), "M77*", FLASH)
    assert [(said.text[:25], said.text[-11:]) for said in drawing.diagnostics] == [
        ("the unknown command G1000", "(100 times)"),
        ("the unknown command M77 w", "ot as drawn"),
    ]


def test_known_codes_beside_unknown_ones_still_hold() -> None:
    # clockwise from (0, 0) about (1, 0) to (2, 0)
    drawing = read(*DISC, "G75*", "X0Y0D02*", "G02G99*", "X2000000I1000000J0D01*")
    assert drawing.strokes.turn.tolist() == [-1]
