"""Damaged layers: judged, or refused with a place; never a traceback, never half an answer."""

import json
import re
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cli import layers
from tests.cli.conftest import Run

WHOLE = layers.layer(
    "%AMA*1,1,0.5+$1,0,0*%",
    "%ADD20A,0.3*%",
    "D20*",
    "X0Y0D03*",
    "%TO.C,U1*%",
    "%LPC*%",
    "D10*",
    "X2000000Y0D03*",
    "%LPD*%",
    "G36*",
    "X0Y3000000D02*",
    "G75*",
    "G03X1000000Y3000000I500000J0D01*",
    "G01X0Y3000000D01*",
    "G37*",
    "%SRX2Y2I5J5*%",
    "D12*",
    "X4000000Y0D02*",
    "X4500000Y0D01*",
    "%SR*%",
)


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    """A layer with a piece replaced by other bytes, or by another piece of it."""
    start = draw(st.integers(0, len(WHOLE)))
    end = draw(st.integers(start, min(len(WHOLE), start + 12)))
    at = draw(st.integers(0, len(WHOLE)))
    piece = draw(
        st.binary(max_size=6) | st.just(WHOLE[at : at + 12]) | st.sampled_from([b"*", b"%", b"-", b"9"])
    )
    return WHOLE[:start] + piece + WHOLE[end:]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(content=damaged() | st.binary(max_size=200))
def test_a_damaged_layer_is_judged_or_refused_in_one_line(run: Run, content: bytes) -> None:
    Path("paste.gbr").write_bytes(content)
    said = run("check", "paste.gbr", "--rules", layers.RULES, "--json", "-")
    if said.status == 2:
        assert not said.out
        assert re.fullmatch(r"paste\.gbr(:\d+:\d+)?: error\[[a-z-]+\]: [^\n]+ \([^\n]+\)\n", said.err)
        assert said.err.rstrip("\n").isprintable()
    else:
        assert not said.err
        json.loads(said.out)


def test_the_whole_layer_is_judged(run: Run) -> None:
    Path("paste.gbr").write_bytes(WHOLE)
    said = run("check", "paste.gbr", "--rules", layers.RULES)
    assert (said.status, said.err) == (0, "")
